package decay

import (
	"encoding/json"
	"math"
	"math/cmplx"
	"os"
	"testing"

	"pgregory.net/rapid"

	"stillroom/dsp/impulse"
)

const rate = 48000

// resonance is a e^(−π f0 t/Q) sin(2π f0 t + φ).
type resonance struct{ A, HZ, Q, Phase float64 }

func (r resonance) at(t float64) float64 {
	if t < 0 {
		return 0
	}
	return r.A * math.Exp(-math.Pi*r.HZ*t/r.Q) * math.Sin(2*math.Pi*r.HZ*t+r.Phase)
}

// response is resonances that begin at a lag of lead samples, in so many seconds.
func response(seconds float64, lead int, rs ...resonance) *impulse.Impulse {
	h := &impulse.Impulse{Samples: make([]float64, int(seconds*rate)), RateHz: rate}
	for i := range h.Samples {
		for _, r := range rs {
			h.Samples[i] += r.at(float64(i-lead) / rate)
		}
	}
	return h
}

// slope is that of a column over its axis, by least squares, NaN passed over.
func slope(x []float64, s Surface, column int) float64 {
	var n, sx, sy, sxx, sxy float64
	for i, v := range x {
		if y := s.LevelDB[i][column]; !math.IsNaN(y) {
			n, sx, sy, sxx, sxy = n+1, sx+v, sy+y, sxx+v*v, sxy+v*y
		}
	}
	return (n*sxy - sx*sy) / (n*sxx - sx*sx)
}

// A single resonance decays by 8.686·ω₀/(2Q) dB/s (closed form: e^(−ω₀t/(2Q))).
func TestCumulativeDecayOfAResonanceHasItsQ(t *testing.T) {
	for _, r := range []resonance{{1, 60, 5, 0}, {1, 200, 3, 0.4}, {1, 1000, 20, 1}, {1, 5000, 50, 2}} {
		h := response(1.5, 480, r)
		tau := r.Q / (math.Pi * r.HZ)
		c := Cumulative{StepS: tau / 20, Slices: 100, RiseS: 3 / r.HZ, EndS: 12 * tau, FallS: tau}
		s := c.Surface(h, 480.0/rate, []float64{r.HZ})
		want := -20 * math.Log10(math.E) * 2 * math.Pi * r.HZ / (2 * r.Q)
		from := int(math.Ceil(c.RiseS / c.StepS)) // before it the rise meets silence
		got := slope(s.TimesS[from:], Surface{LevelDB: s.LevelDB[from:]}, 0)
		t.Logf("%g Hz, Q %g: %.3f dB/s, closed form %.3f", r.HZ, r.Q, got, want)
		if !(math.Abs(got/want-1) < 0.0005) {
			t.Errorf("%g Hz, Q %g: decays by %.3f dB/s, closed form %.3f", r.HZ, r.Q, got, want)
		}
	}
}

// And by 27.29/Q dB a period whatever its frequency, once the burst is over.
func TestDecayOverPeriodsOfAResonanceHasItsQ(t *testing.T) {
	for _, r := range []resonance{{1, 40, 4, 0}, {1, 60, 5, 0}, {1, 200, 10, 0.4}, {1, 1000, 20, 1}, {1, 5000, 50, 2}} {
		h := response(1.5, 480, r)
		rows := 80
		o := OverPeriods{Cycles: 4, StepPeriods: 0.5, Rows: rows, Gate: impulse.Gate{OpenS: -0.005, CloseS: 1.4}}
		s := o.Surface(h, 480.0/rate, []float64{r.HZ})
		want := -20 * math.Log10(math.E) * math.Pi / r.Q
		from, to := 16, min(rows, 16+int(100/-want*2)) // from 8 periods, 4.7 standard deviations, over 100 dB at most
		got := slope(s.Periods[from:to], Surface{LevelDB: s.LevelDB[from:to]}, 0)
		t.Logf("%g Hz, Q %g: %.5f dB a period, closed form %.5f", r.HZ, r.Q, got, want)
		if !(math.Abs(got/want-1) < 0.0001) {
			t.Errorf("%g Hz, Q %g: decays by %.5f dB a period, closed form %.5f", r.HZ, r.Q, got, want)
		}
	}
}

// A plain ratio shows the burst itself: 6.02 dB·(2p/Cycles)² down after p periods, at
// every frequency.
func TestDecayOverPeriodsOfNothing(t *testing.T) {
	h := &impulse.Impulse{Samples: make([]float64, 2*rate), RateHz: rate}
	h.Samples[100] = 0.5
	o := OverPeriods{Cycles: 4, StepPeriods: 0.5, Rows: 12, Gate: impulse.Gate{OpenS: -0.001, CloseS: 1}}
	s := o.Surface(h, 100.0/rate, []float64{20, 31.5, 100, 1000, 8000, 12000})
	for row, p := range s.Periods {
		for i, f := range s.FrequencyHz {
			want := 20*math.Log10(0.5) - 20*math.Log10(2)*math.Pow(p/2, 2)
			if off := math.Abs(s.LevelDB[row][i] - want); !(off < 0.001) {
				t.Errorf("%g Hz, %g periods: %.4f dB, closed form %.4f", f, p, s.LevelDB[row][i], want)
			}
		}
	}
}

// What the low edge of a deconvolution does to the samples does not show in the level.
func TestLowEdgeIsDividedOut(t *testing.T) {
	h := &impulse.Impulse{Samples: make([]float64, 2*rate), RateHz: rate}
	h.Samples[100] = 1
	g := &impulse.Impulse{Samples: edgeSamples(impulse.Edge{CornerHz: 10}, 2*rate), RateHz: rate, Band: impulse.Band{EdgeHz: 10}}
	o := OverPeriods{Cycles: 4, StepPeriods: 0.5, Rows: 6, Gate: impulse.Gate{OpenS: -0.001, CloseS: 1.8}}
	f := []float64{20, 40, 1000}
	plain, with := o.Surface(h, 100.0/rate, f), o.Surface(g, 0, f)
	for row := range plain.LevelDB {
		for i := range f {
			if off := math.Abs(plain.LevelDB[row][i] - with.LevelDB[row][i]); !(off < 0.05) {
				t.Errorf("%g Hz, %g periods: off by %.4f dB", f[i], plain.Periods[row], off)
			}
		}
	}
}

func TestSlicesAreNotValidBelowTheirLength(t *testing.T) {
	h := response(1, 0, resonance{1, 100, 3, 1})
	f := []float64{10, 50, 99, 101, 1000, 24000, 24001}
	s := Cumulative{StepS: 0.01, Slices: 4, RiseS: 0.001, EndS: 0.02, FallS: 0.005}.Surface(h, 0, f)
	for i, row := range s.LevelDB {
		for k, db := range row {
			valid := f[k] <= 24000 && i < 2 && f[k] >= 1/(0.02-0.01*float64(i))*(1-1e-12)
			if valid == math.IsNaN(db) {
				t.Errorf("slice at %g s, %g Hz: %g dB", s.TimesS[i], f[k], db)
			}
		}
	}
}

// The slice at 0 is the gate that opens by the rise and closes with the slices.
func TestFirstSliceIsTheGate(t *testing.T) {
	h := response(1, 480, resonance{1, 150, 8, 0.3}, resonance{0.5, 2500, 25, 1.1})
	f := []float64{100, 150, 1000, 2500, 10000}
	s := Cumulative{StepS: 0.01, Slices: 1, RiseS: 0.004, EndS: 0.3, FallS: 0.1}.Surface(h, 0.01, f)
	want := h.Gated(0.01, impulse.Gate{OpenS: -0.004, OpenTaperS: 0.004, CloseS: 0.3, CloseTaperS: 0.1}).Spectrum(f)
	for i := range f {
		if off := math.Abs(s.LevelDB[0][i] - 20*math.Log10(cmplx.Abs(want[i]))); !(off < 0.001) {
			t.Errorf("%g Hz: off by %.4f dB", f[i], off)
		}
	}
}

// Where the rise lies after the arrival, a delay of the response is a delay of the
// surface, and a gain a gain.
func TestSurfacesFollowTimeAndGain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		later := rapid.IntRange(0, 1000).Draw(t, "later")
		gain := rapid.Float64Range(0.01, 100).Draw(t, "gain")
		r := resonance{1, rapid.Float64Range(100, 5000).Draw(t, "f0"), 0, 0.5}
		r.Q = 0.006 * math.Pi * r.HZ // over in 0.1 s
		const lead = 1000
		a := response(0.2, lead, r)
		r.A *= gain
		b := response(0.2, lead+later, r)
		f := []float64{r.HZ, 2 * r.HZ}
		c := Cumulative{StepS: 0.005, Slices: 3, RiseS: 0.002, EndS: 0.09, FallS: 0.05}
		g := Spectrogram{StepS: 0.01, Frames: 3, WindowS: 0.03}
		o := OverPeriods{Cycles: 3, StepPeriods: 1, Rows: 3, Gate: impulse.Gate{OpenS: -0.001, CloseS: 0.1}}
		pairs := [][2]Surface{
			{c.Surface(a, lead*1.0/rate, f), c.Surface(b, float64(lead+later)/rate, f)},
			{g.Surface(a, lead*1.0/rate, f), g.Surface(b, float64(lead+later)/rate, f)},
			{o.Surface(a, lead*1.0/rate, f), o.Surface(b, float64(lead+later)/rate, f)},
		}
		for n, p := range pairs {
			for i, row := range p[0].LevelDB {
				for k, db := range row {
					if off := math.Abs(p[1].LevelDB[i][k] - db - 20*math.Log10(gain)); off > 0.01 {
						t.Fatalf("surface %d: off by %g dB", n, off)
					}
				}
			}
		}
	})
}

// table is testdata/decay_scipy.json.
type table struct {
	Resonances [][4]float64
	Envelope   struct {
		At      []int
		LevelDB []float64
	}
	Frames struct {
		Length       int
		Starts, Bins []int
		LevelDB      [][]float64
	}
	Bursts struct {
		Cycles      float64
		FrequencyHz []float64
		Periods     []float64
		LevelDB     [][]float64
	}
}

func scipy(t testing.TB, lead int) (table, *impulse.Impulse) {
	raw, err := os.ReadFile("../../testdata/decay_scipy.json")
	if err != nil {
		t.Fatal(err)
	}
	var doc table
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Fatal(err)
	}
	if len(doc.Envelope.LevelDB) != 8 || len(doc.Frames.LevelDB) != 4 || len(doc.Bursts.LevelDB) != 4 {
		t.Fatal("a table of another shape")
	}
	var rs []resonance
	for _, r := range doc.Resonances {
		rs = append(rs, resonance{r[0], r[1], r[2], r[3]})
	}
	return doc, response(3, lead, rs...)
}

// scipy.signal.hilbert over three seconds of the same response.
func TestEnergyTimeAgainstScipy(t *testing.T) {
	doc, h := scipy(t, 4800)
	_, got := EnergyTime(h, 0.1, -0.01, 0.5)
	for i, n := range doc.Envelope.At {
		if off := math.Abs(got[480+n] - doc.Envelope.LevelDB[i]); !(off < 0.02) {
			t.Errorf("%d samples after the arrival: %.4f dB, scipy %.4f", n, got[480+n], doc.Envelope.LevelDB[i])
		}
	}
}

func TestSpectrogramAgainstScipy(t *testing.T) {
	doc, h := scipy(t, 0)
	half := float64(doc.Frames.Length / 2)
	for i, start := range doc.Frames.Starts {
		var f []float64
		for _, b := range doc.Frames.Bins {
			f = append(f, float64(b)*rate/float64(doc.Frames.Length))
		}
		g := Spectrogram{FromS: (float64(start) + half) / rate, StepS: 1, Frames: 1, WindowS: float64(doc.Frames.Length+1) / rate}
		s := g.Surface(h, 0, f)
		for k, want := range doc.Frames.LevelDB[i] {
			if off := math.Abs(s.LevelDB[0][k] - want); want > -60 && !(off < 0.001) {
				t.Errorf("frame at %d, %g Hz: %.4f dB, scipy %.4f", start, f[k], s.LevelDB[0][k], want)
			}
		}
	}
}

// A direct convolution with the burst, in numpy.
func TestDecayOverPeriodsAgainstNumpy(t *testing.T) {
	doc, h := scipy(t, 960)
	o := OverPeriods{Cycles: doc.Bursts.Cycles, StepPeriods: 1, Rows: 31, Gate: impulse.Gate{OpenS: -0.01, CloseS: 1}}
	s := o.Surface(h, 0.02, doc.Bursts.FrequencyHz)
	for i, f := range doc.Bursts.FrequencyHz {
		for k, p := range doc.Bursts.Periods {
			got, want := s.LevelDB[int(p)][i], doc.Bursts.LevelDB[i][k]
			if off := math.Abs(got - want); want > -80 && !(off < 0.01) {
				t.Errorf("%g Hz, %g periods: %.4f dB, numpy %.4f", f, p, got, want)
			}
		}
	}
}
