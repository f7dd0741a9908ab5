package simulated

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"math/cmplx"
	"os"
	"strconv"
	"testing"

	"stillroom/app/audio"
)

func newRig(t testing.TB, o Options) *Rig {
	t.Helper()
	r, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// exchange plays x on output 0 and returns what the inputs record in frames.
func exchange(t testing.TB, r *Rig, rateHz float64, x []float32, frames int, inputs ...int) [][]float32 {
	t.Helper()
	c, err := r.Exchange(context.Background(), audio.Exchange{
		OutputDevice: DeviceID, InputDevice: DeviceID, RateHz: rateHz,
		Play: [][]float32{x}, PlayChannels: []int{0},
		RecordChannels: inputs, RecordFrames: frames, LimitFS: 1,
	}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return c.Channels
}

// bin is the plain sum Σ x[n] e^{-j2πfn/rate}: the transform at one frequency, by
// its definition, with the phasor set anew every 64 samples.
func bin(x []float32, hz, rateHz float64) complex128 {
	var sum, turn complex128
	step := cmplx.Rect(1, -2*math.Pi*hz/rateHz)
	for n, v := range x {
		if n%64 == 0 {
			turn = cmplx.Rect(1, -2*math.Pi*hz*float64(n)/rateHz)
		}
		sum += complex(float64(v), 0) * turn
		turn *= step
	}
	return sum
}

// measured is the response of a rig by an impulse, with time zero at the arrival.
func measured(t testing.TB, r *Rig, rateHz, hz float64, recorded []float32) complex128 {
	return bin(recorded, hz, rateHz) / 0.5 * cmplx.Rect(1, 2*math.Pi*hz*r.TrueDelayS())
}

func impulse(frames int) []float32 {
	x := make([]float32, frames)
	x[0] = 0.5
	return x
}

// The table of the W3C Note "Audio EQ Cookbook" (8 June 2021, https://www.w3.org/TR/audio-eq-cookbook/)
// in testdata/biquads_w3c.csv: nine filters at ten frequencies each, 48 kHz.
func TestBiquadsAgainstCookbook(t *testing.T) {
	file, err := os.Open("testdata/biquads_w3c.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.FieldsPerRecord = -1
	rows, err := reader.ReadAll()
	if err != nil || len(rows) != 92 {
		t.Fatalf("%d rows: %v", len(rows), err)
	}
	recordings := map[string][]float32{}
	var worstDB, worstDeg float64
	for _, row := range rows[2:] {
		v := make([]float64, len(row))
		for i, text := range row[1:] {
			if v[i+1], err = strconv.ParseFloat(text, 64); err != nil {
				t.Fatal(err)
			}
		}
		q := Biquad{Kind: row[0], FrequencyHz: v[1], Q: v[2], GainDB: v[3]}
		s, err := q.at(48000)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range []float64{s.b0, s.b1, s.b2, s.a1, s.a2} {
			if math.Abs(c-v[4+i]) > 1e-11 {
				t.Errorf("%v: coefficient %d is %.15g, the table has %.15g", q, i, c, v[4+i])
			}
		}
		r := newRig(t, Options{Subject: "biquads", Before: []Biquad{q}})
		key := fmt.Sprint(q)
		if recordings[key] == nil {
			recordings[key] = exchange(t, r, 48000, impulse(24000), 24000, MicrophoneIn)[0]
		}
		hz := v[9]
		got := measured(t, r, 48000, hz, recordings[key])
		offDB := 20*math.Log10(cmplx.Abs(got)) - v[10]
		offDeg := cmplx.Phase(got*cmplx.Rect(1, -v[11])) * 180 / math.Pi
		worstDB, worstDeg = math.Max(worstDB, math.Abs(offDB)), math.Max(worstDeg, math.Abs(offDeg))
		if math.Abs(offDB) > 0.0005 || math.Abs(offDeg) > 0.005 {
			t.Errorf("%v at %g Hz: %.6f dB and %.5f° from the table", q, hz, offDB, offDeg)
		}
		truth, _ := r.TrueResponse(48000, []float64{hz})
		if cmplx.Abs(truth[0]/cmplx.Rect(math.Pow(10, v[10]/20), v[11])-1) > 1e-6 {
			t.Errorf("%v at %g Hz: the rig's truth is %v", q, hz, truth[0])
		}
	}
	t.Logf("worst %.7f dB, %.6f°", worstDB, worstDeg)
}

// A wire is a delay and nothing else, at every rate: closed form.
func TestWireIsADelay(t *testing.T) {
	for _, rate := range benchDevice().RatesHz {
		r := newRig(t, Options{Subject: "wire"})
		x := exchange(t, r, rate, impulse(int(rate/10)), int(rate/10), MicrophoneIn, LoopbackIn)
		for _, share := range []float64{0.001, 0.01, 0.1, 0.3, 0.44} {
			got := measured(t, r, rate, share*rate, x[0])
			if cmplx.Abs(got-1) > 2e-6 {
				t.Errorf("%g Hz at %g Hz: %v", share*rate, rate, got)
			}
			if loop := measured(t, r, rate, share*rate, x[1]); cmplx.Abs(loop/loopbackGain-1) > 2e-6 {
				t.Errorf("loopback, %g Hz at %g Hz: %v", share*rate, rate, loop)
			}
		}
	}
}

// polynomialCase is one row of testdata/harmonics.json: the binomial expansion of
// powers of a sine, closed form.
type polynomialCase struct {
	A, A2, A3, A4, A5 float64
	DC                float64   `json:"dc"`
	H                 []float64 `json:"H1..H5_amplitude_signed"`
	HD2               *float64  `json:"HD2_dB"`
}

func polynomialCases(t *testing.T) []polynomialCase {
	var table struct {
		Examples []polynomialCase `json:"polynomial_examples"`
	}
	raw, err := os.ReadFile("testdata/harmonics.json")
	if err == nil {
		err = json.Unmarshal(raw, &table)
	}
	if err != nil || len(table.Examples) != 5 {
		t.Fatal("testdata/harmonics.json", err)
	}
	return table.Examples
}

// steady returns a tenth of a second of the steady state of a sine: whole periods
// where f0 is a multiple of 10 Hz. The sine swells slowly and starts and ends at
// whole periods.
func steady(t *testing.T, r *Rig, rateHz, f0, peak float64) []float32 {
	n := int(rateHz / 10)
	x := make([]float32, 5*n)
	for i := range x {
		x[i] = float32(peak * rise(float64(i)/float64(n)) * math.Sin(2*math.Pi*f0*float64(i)/rateHz))
	}
	return exchange(t, r, rateHz, x, len(x), MicrophoneIn)[0][3*n : 4*n]
}

func TestPolynomialAgainstClosedForm(t *testing.T) {
	for _, c := range polynomialCases(t) {
		r := newRig(t, Options{Subject: "polynomial", Polynomial: []float64{1, c.A2, c.A3, c.A4, c.A5}})
		for _, rate := range []float64{44100, 96000} {
			x := steady(t, r, rate, 1000, c.A)
			if dc := real(bin(x, 0, rate)) / rate * 10; math.Abs(dc-c.DC) > 1e-7 {
				t.Errorf("%+v: mean %g", c, dc)
			}
			for i, want := range c.H {
				n := i + 1
				got := 20 / rate * cmplx.Abs(bin(x, 1000*float64(n), rate))
				if math.Abs(got-math.Abs(want)) > 1e-7*c.A {
					t.Errorf("A %g at %g Hz: order %d is %.9f, the closed form %.9f", c.A, rate, n, got, want)
				}
				h, err := r.TrueHarmonic(rate, 1000, n, c.A)
				if err != nil || math.Abs(cmplx.Abs(h)-math.Abs(want)) > 1e-12 {
					t.Errorf("A %g: the rig tells %v of order %d, the closed form %.9f (%v)", c.A, h, n, want, err)
				}
			}
		}
	}
}

// With phase: sin²θ = (1−cos 2θ)/2, sin³θ = (3 sin θ − sin 3θ)/4 behind a filter, and
// filters before and after act at their own frequencies.
func TestHarmonicPhase(t *testing.T) {
	before := []Biquad{{Kind: "highpass", FrequencyHz: 700, Q: 1.2}}
	after := []Biquad{{Kind: "peaking", FrequencyHz: 3000, Q: 4, GainDB: -10}}
	r := newRig(t, Options{Subject: "polynomial", Polynomial: []float64{1, 0.2, 0.1, 0.05}, Before: before, After: after})
	const rate, f0, peak = 48000, 1000, 0.7
	x := steady(t, r, rate, f0, peak)
	for n := 1; n <= 4; n++ {
		// three tenths of a second in, the phase is that of time zero; the recording is late
		hz := float64(n) * f0
		got := bin(x, hz, rate) * 20i / rate * cmplx.Rect(1, 2*math.Pi*hz*r.TrueDelayS())
		want, err := r.TrueHarmonic(rate, f0, n, peak)
		if err != nil || cmplx.Abs(got-want) > 2e-7 {
			t.Errorf("order %d is %v, the rig's closed form %v (%v)", n, got, want, err)
		}
	}
}

// Orders above half the rate leave nothing behind in the band.
func TestPolynomialMakesNoAlias(t *testing.T) {
	const rate, f0 = 48000, 7010
	r := newRig(t, Options{Subject: "polynomial", Polynomial: []float64{1, 0.3, 0.3, 0.3, 0.3, 0.3, 0.3}})
	x := steady(t, r, rate, f0, 0.9)
	for order := 4; order <= 7; order++ {
		folded := math.Abs(math.Mod(float64(order)*f0+rate/2, rate) - rate/2)
		if level := 20 * math.Log10(20.0/rate*cmplx.Abs(bin(x, folded, rate))); level > -130 {
			t.Errorf("order %d folds back to %g Hz at %.1f dB", order, folded, level)
		}
	}
	if level := 20 * math.Log10(20.0/rate*cmplx.Abs(bin(x, 3*f0, rate))); level < -40 {
		t.Errorf("the third order itself is at %.1f dB", level)
	}
}

// Nothing in, nothing out.
func TestRestIsZero(t *testing.T) {
	for _, subject := range []string{"wire", "biquads", "polynomial", "woofer"} {
		r := newRig(t, Options{Subject: subject, Quiet: true, Polynomial: []float64{1, 0.5}, Before: []Biquad{{Kind: "lowshelf", FrequencyHz: 100, Q: 1, GainDB: 6}}})
		for _, v := range exchange(t, r, 48000, make([]float32, 4800), 4800, MicrophoneIn)[0] {
			if v != 0 {
				t.Fatalf("%s: %g", subject, v)
			}
		}
	}
}

func TestImpossibleBiquadIsRefused(t *testing.T) {
	for _, q := range []Biquad{{Kind: "peaking", FrequencyHz: 30000, Q: 1}, {Kind: "comb", FrequencyHz: 100, Q: 1}, {Kind: "lowpass", FrequencyHz: 100}} {
		r := newRig(t, Options{Subject: "biquads", Before: []Biquad{q}})
		if _, err := r.TrueResponse(48000, []float64{100}); err == nil {
			t.Errorf("%v was accepted", q)
		}
	}
}
