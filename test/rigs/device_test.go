package rigs_test

import (
	"context"
	"math"
	"math/cmplx"
	"testing"

	"stillroom/app/audio"
	"stillroom/app/audio/soundcard"
	"stillroom/test/rigs"
)

// cookbook is the response of a section by the formulas of the Audio EQ Cookbook
// (W3C Working Group Note, 8 June 2021), evaluated at z = e^{jw}.
func cookbook(b rigs.Biquad, rateHz, frequencyHz float64) complex128 {
	w := 2 * math.Pi * b.FrequencyHz / rateHz
	c, alpha, a := math.Cos(w), math.Sin(w)/(2*b.Q), math.Pow(10, b.GainDB/40)
	var num, den [3]float64
	switch b.Kind {
	case "highpass":
		num = [3]float64{(1 + c) / 2, -(1 + c), (1 + c) / 2}
		den = [3]float64{1 + alpha, -2 * c, 1 - alpha}
	case "lowpass":
		num = [3]float64{(1 - c) / 2, 1 - c, (1 - c) / 2}
		den = [3]float64{1 + alpha, -2 * c, 1 - alpha}
	case "peaking":
		num = [3]float64{1 + alpha*a, -2 * c, 1 - alpha*a}
		den = [3]float64{1 + alpha/a, -2 * c, 1 - alpha/a}
	case "lowshelf":
		r := 2 * math.Sqrt(a) * alpha
		num = [3]float64{a * (a + 1 - (a-1)*c + r), 2 * a * (a - 1 - (a+1)*c), a * (a + 1 - (a-1)*c - r)}
		den = [3]float64{a + 1 + (a-1)*c + r, -2 * (a - 1 + (a+1)*c), a + 1 + (a-1)*c - r}
	case "highshelf":
		r := 2 * math.Sqrt(a) * alpha
		num = [3]float64{a * (a + 1 + (a-1)*c + r), -2 * a * (a - 1 + (a+1)*c), a * (a + 1 + (a-1)*c - r)}
		den = [3]float64{a + 1 - (a-1)*c + r, 2 * (a - 1 - (a+1)*c), a + 1 - (a-1)*c - r}
	}
	z := cmplx.Rect(1, -2*math.Pi*frequencyHz/rateHz)
	at := func(p [3]float64) complex128 {
		return complex(p[0], 0) + complex(p[1], 0)*z + complex(p[2], 0)*z*z
	}
	return at(num) / at(den)
}

const (
	clickFrames = 24000 // from one click to the next
	clickFS     = 0.5
	period      = 4096 // of JACK: long, so that a busy machine is seldom late
)

// clicks measures the rig with three clicks and returns the recording from the
// first click on, without the round trip of the servers. A recording whose
// clicks differ has dropped out: it tries again.
func clicks(t *testing.T, c *soundcard.Card, rig *rigs.Rig, latency int) []float64 {
	t.Helper()
	play := make([]float32, 3*clickFrames)
	for i := range 3 {
		play[i*clickFrames+100] = clickFS
	}
	x := audio.Exchange{OutputDevice: rig.Output, InputDevice: rig.Input, RateHz: rig.RateHz,
		Play: [][]float32{play}, PlayChannels: []int{0}, RecordChannels: []int{0},
		RecordFrames: 4*clickFrames + 100 + latency, LimitFS: clickFS}
	for try := range 8 {
		got, err := c.Exchange(context.Background(), x, nil)
		if err != nil {
			t.Fatal(err)
		}
		heard := got.Channels[0][100+latency:]
		if len(got.Facts.Flags) == 0 && alike(heard) {
			out := make([]float64, clickFrames)
			for i := range out {
				out[i] = float64(heard[2*clickFrames+i]) / clickFS
			}
			return out
		}
		t.Logf("try %d dropped out: flags %v", try+1, got.Facts.Flags)
	}
	t.Fatal("no three clicks came back alike")
	return nil
}

func alike(heard []float32) bool {
	sound := false
	for i := range clickFrames {
		second, third := heard[clickFrames+i], heard[2*clickFrames+i]
		sound = sound || third != 0
		if math.Abs(float64(second-third)) > 1e-6 {
			return false
		}
	}
	return sound
}

// responseAt is the Fourier sum of an impulse response at one frequency.
func responseAt(h []float64, rateHz, frequencyHz float64) complex128 {
	var sum complex128
	for n, s := range h {
		sum += complex(s, 0) * cmplx.Rect(1, -2*math.Pi*frequencyHz/rateHz*float64(n))
	}
	return sum
}

var frequenciesHz = [...]float64{40, 100, 250, 500, 1000, 2000, 4000, 8000, 12000, 18000}

// The device under test is what its parameters say: sections in a row, a delay
// with a fraction, a reflection and a gain.
func TestJACKDeviceIsWhatItSays(t *testing.T) {
	d := rigs.Device{DelayFrames: 200.37, ReflectionFrames: 480, ReflectionGain: -0.25, Gain: 0.8,
		Biquads: []rigs.Biquad{
			{Kind: "highpass", FrequencyHz: 80, Q: 0.9},
			{Kind: "peaking", FrequencyHz: 3000, Q: 4, GainDB: 6},
			{Kind: "lowshelf", FrequencyHz: 300, Q: 0.7, GainDB: -3},
			{Kind: "highshelf", FrequencyHz: 6000, Q: 0.7, GainDB: 4},
			{Kind: "lowpass", FrequencyHz: 15000, Q: 0.7},
		}}
	rig := rigs.StartJACK(t, rigs.JACK{PeriodFrames: period, Device: d})
	rig.Run(func() {
		c := open(t)
		h := clicks(t, c, rig, period)
		for _, f := range frequenciesHz {
			w := 2 * math.Pi * f / rig.RateHz
			want := complex(d.Gain, 0) * cmplx.Rect(1, -w*d.DelayFrames) *
				(1 + complex(d.ReflectionGain, 0)*cmplx.Rect(1, -w*float64(d.ReflectionFrames)))
			for _, b := range d.Biquads {
				want *= cookbook(b, rig.RateHz, f)
			}
			compare(t, f, responseAt(h, rig.RateHz, f), want, 2e-4, 2e-3)
		}
	})
}

// sox's highpass is a section of the cookbook with Q 0.7071 (sox manual page).
// Its pipe adds a delay that is not known, so only the magnitude is compared.
func TestPulseEffectsOfSox(t *testing.T) {
	rig := rigs.StartPulse(t, rigs.Pulse{Effects: []string{"highpass", "1000"}})
	rig.Run(func() {
		h := clicks(t, open(t), rig, 0)
		for _, f := range frequenciesHz {
			want := cookbook(rigs.Biquad{Kind: "highpass", FrequencyHz: 1000, Q: math.Sqrt2 / 2}, rig.RateHz, f)
			got := responseAt(h, rig.RateHz, f)
			compare(t, f, complex(cmplx.Abs(got), 0), complex(cmplx.Abs(want), 0), 0.02, 1)
		}
	})
}

func compare(t *testing.T, f float64, got, want complex128, db, degrees float64) {
	t.Helper()
	offDB := 20 * math.Log10(cmplx.Abs(got/want))
	offDegrees := cmplx.Phase(got/want) * 180 / math.Pi
	t.Logf("%6g Hz: %+.6f dB, %+.6f° off", f, offDB, offDegrees)
	if math.Abs(offDB) > db || math.Abs(offDegrees) > degrees {
		t.Errorf("at %g Hz the device is %g dB and %g° off, want %g and %g", f, offDB, offDegrees, db, degrees)
	}
}

// A sine through c1·x + c2·x² + c3·x³ has the second harmonic c2·A²/2, the third
// c3·A³/4 and the first c1·A + 3·c3·A³/4 (power-reduction formulas).
func TestJACKPolynomial(t *testing.T) {
	const c1, c2, c3, a = 0.9, 0.2, -0.3, 0.5
	rig := rigs.StartJACK(t, rigs.JACK{PeriodFrames: period, Device: rigs.Device{Polynomial: []float64{c1, c2, c3}}})
	rig.Run(func() {
		got := sine(t, open(t), rig, a)
		for i, want := range []float64{c1*a + 3*c3*a*a*a/4, c2 * a * a / 2, c3 * a * a * a / 4} {
			amplitude := 2 * cmplx.Abs(responseAt(got, rig.RateHz, 1000*float64(i+1))) / float64(len(got))
			if off := 20 * math.Log10(amplitude/math.Abs(want)); math.Abs(off) > 1e-4 {
				t.Errorf("harmonic %d is %g, want %g (%g dB off)", i+1, amplitude, math.Abs(want), off)
			}
		}
	})
}

// sine records one second of a steady 1 kHz.
func sine(t *testing.T, c *soundcard.Card, rig *rigs.Rig, amplitude float64) []float64 {
	t.Helper()
	rate := int(rig.RateHz)
	play := make([]float32, 2*rate)
	for n := range play {
		play[n] = float32(amplitude * math.Sin(2*math.Pi*1000*float64(n)/rig.RateHz))
	}
	x := audio.Exchange{OutputDevice: rig.Output, InputDevice: rig.Input, RateHz: rig.RateHz,
		Play: [][]float32{play}, PlayChannels: []int{0}, RecordChannels: []int{0}, RecordFrames: 2 * rate, LimitFS: 1}
	for range 8 {
		got, err := c.Exchange(context.Background(), x, nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Facts.Flags) > 0 {
			continue
		}
		out := make([]float64, rate)
		for i := range out {
			out[i] = float64(got.Channels[0][rate/2+i])
		}
		return out
	}
	t.Fatal("no sine came through without a dropout")
	return nil
}

func open(t *testing.T) *soundcard.Card {
	t.Helper()
	c, err := soundcard.Open()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	return c
}
