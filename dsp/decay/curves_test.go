package decay

import (
	"math"
	"testing"

	"stillroom/dsp/fft"
	"stillroom/dsp/impulse"
)

// edgeSamples is the impulse response of a low edge from lag 0, by its spectrum.
func edgeSamples(e impulse.Edge, n int) []float64 {
	plan := fft.NewReal(fft.GoodLength(n))
	bins := make([]complex128, plan.Len()/2+1)
	for k := range bins {
		bins[k] = e.At(float64(k) * rate / float64(plan.Len()))
	}
	return plan.Sequence(nil, bins)
}

// The step response of a first-order low-pass is 1−e^(−t/τ) at the samples of the
// system y[n] = a y[n−1] + (1−a) x[n]: 1−a^(n+1), closed form.
func TestStepOfALowPass(t *testing.T) {
	const a = 0.99
	h := &impulse.Impulse{Samples: make([]float64, 4800), RateHz: rate}
	for n := range 3000 {
		h.Samples[100+n] = (1 - a) * math.Pow(a, float64(n))
	}
	at, got := Step(h, 100.0/rate, -0.001, 0.04)
	if len(at) != len(got) || math.Abs(at[0]+0.001) > 1e-12 || math.Abs(at[48]) > 1e-12 {
		t.Fatalf("%d times for %d values, from %g s", len(at), len(got), at[0])
	}
	for i, v := range got {
		want := 0.0
		if n := i - 48; n >= 0 {
			want = 1 - math.Pow(a, float64(n+1))
		}
		if math.Abs(v-want) > 1e-9 {
			t.Fatalf("at %g s the step response is %g, closed form %g", at[i], v, want)
		}
	}
}

// The envelope of e^(−αt) cos(ωt+φ) over many periods is e^(−αt): 8.686 α dB/s.
func TestEnergyTimeOfAResonance(t *testing.T) {
	r := resonance{1, 2000, 200, 0.7}
	h := response(0.5, 2400, r)
	at, level := EnergyTime(h, 0.05, -0.01, 0.2)
	want := -20 * math.Log10(math.E) * math.Pi * r.HZ / r.Q
	from, to := 480+480, 480+2880 // 10 to 60 ms
	got := (level[to] - level[from]) / (at[to] - at[from])
	if math.Abs(got/want-1) > 5e-3 {
		t.Errorf("falls by %g dB/s, closed form %g", got, want)
	}
	top := math.Inf(-1)
	for _, v := range level {
		top = math.Max(top, v)
	}
	if top != 0 {
		t.Errorf("the peak is at %g dB", top)
	}
}

// The envelope of a tone under a Gaussian is the Gaussian, whatever the phase.
func TestEnergyTimeDoesNotKnowThePhase(t *testing.T) {
	for _, phase := range []float64{0, 1, 2} {
		h := &impulse.Impulse{Samples: make([]float64, rate/2), RateHz: rate}
		for i := range h.Samples {
			x := float64(i-12000) / rate
			h.Samples[i] = math.Exp(-x*x/(2*0.002*0.002)) * math.Cos(2*math.Pi*1500*x+phase)
		}
		at, level := EnergyTime(h, 0.25, -0.005, 0.005)
		for i, x := range at {
			if want := -10 * math.Log10(math.E) * x * x / (0.002 * 0.002); math.Abs(level[i]-want) > 1e-3 {
				t.Fatalf("phase %g, %g s: %g dB, closed form %g", phase, x, level[i], want)
			}
		}
	}
}

func TestSilenceHasNoEnvelope(t *testing.T) {
	_, level := EnergyTime(&impulse.Impulse{Samples: make([]float64, 4800), RateHz: rate}, 0, 0, 0.01)
	for _, v := range level {
		if !math.IsNaN(v) {
			t.Fatalf("silence has a level of %g dB re its peak", v)
		}
	}
}

// One sample of 1 reads the window; a lasting sine half the window's sum (N/4 for
// Hann); a window of one's own is used.
func TestSpectrogramScale(t *testing.T) {
	h := &impulse.Impulse{Samples: make([]float64, rate), RateHz: rate}
	h.Samples[12000] = 1
	g := Spectrogram{FromS: 0.24, StepS: 0.01, Frames: 3, WindowS: 0.04}
	s := g.Surface(h, 0, []float64{10, 100, 5000})
	want := 20 * math.Log10(0.5) // a quarter of the window out
	for i, row := range s.LevelDB {
		w := []float64{want, 0, want}
		w[0], w[2] = 20*math.Log10(hann(0.25)), 20*math.Log10(hann(-0.25))
		if !math.IsNaN(row[0]) || math.Abs(row[1]-w[i]) > 1e-5 || math.Abs(row[2]-w[i]) > 1e-5 {
			t.Errorf("frame at %g s: %v, the window says %g", s.TimesS[i], row, w[i])
		}
	}
	for i := range h.Samples {
		h.Samples[i] = math.Sin(2 * math.Pi * 1000 * float64(i) / rate)
	}
	if got, want := g.Surface(h, 0, []float64{1000}).LevelDB[1][0], 20*math.Log10(0.04*rate/4); math.Abs(got-want) > 1e-3 {
		t.Errorf("a sine reads %g dB, closed form %g", got, want)
	}
	g.Window = func(u float64) float64 { return 1 }
	if got, want := g.Surface(h, 0, []float64{1000}).LevelDB[1][0], 20*math.Log10(0.04*rate/2); math.Abs(got-want) > 0.01 {
		t.Errorf("through a window of 1 a sine reads %g dB, closed form %g", got, want)
	}
}

func TestSurfaceRePeakAndWithin(t *testing.T) {
	nan := math.NaN()
	s := Surface{FrequencyHz: []float64{10, 100, 1000}, LevelDB: [][]float64{{nan, 3, 1}, {nan, -5, 7}}}
	if got := s.PeakDB(); got != 7 {
		t.Errorf("peak %g dB", got)
	}
	r := s.EachRePeak()
	if !math.IsNaN(r.LevelDB[0][0]) || r.LevelDB[0][1] != 0 || r.LevelDB[1][1] != -8 || r.LevelDB[0][2] != -6 || r.LevelDB[1][2] != 0 {
		t.Errorf("re the peak of each: %v", r.LevelDB)
	}
	w := s.Within(50, 500)
	if w.LevelDB[0][1] != 3 || !math.IsNaN(w.LevelDB[1][2]) || s.LevelDB[1][2] != 7 {
		t.Errorf("within 50 to 500 Hz: %v, and the first is now %v", w.LevelDB, s.LevelDB)
	}
}

func TestSettingsThatCannotBe(t *testing.T) {
	h := response(0.1, 0, resonance{1, 100, 3, 1})
	for name, work := range map[string]func(){
		"slices": func() { Cumulative{StepS: 0.01, Slices: 3}.Surface(h, 0, nil) },
		"frames": func() { Spectrogram{StepS: 0.01, Frames: 0, WindowS: 1}.Surface(h, 0, nil) },
		"cycles": func() {
			OverPeriods{Cycles: 1, StepPeriods: 1, Rows: 1, Gate: impulse.Gate{CloseS: 1}}.Surface(h, 0, nil)
		},
		"stretch": func() { Step(h, 0, 0.1, 0) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s that cannot be were taken", name)
				}
			}()
			work()
		}()
	}
}

func grid() []float64 {
	var f []float64
	for x := 20.0; x < 20000; x *= math.Pow(10, 1.0/320) {
		f = append(f, x)
	}
	return f
}

func BenchmarkCumulative(b *testing.B) {
	h, f := response(1, 480, resonance{1, 150, 8, 0}), grid()
	c := Cumulative{StepS: 0.002, Slices: 100, RiseS: 0.001, EndS: 0.3, FallS: 0.1}
	for b.Loop() {
		c.Surface(h, 0.01, f)
	}
}

func BenchmarkOverPeriods(b *testing.B) {
	h, f := response(3, 480, resonance{1, 150, 8, 0}), grid()
	o := OverPeriods{Cycles: 4, StepPeriods: 0.5, Rows: 81, Gate: impulse.Gate{OpenS: -0.005, CloseS: 2.5}}
	for b.Loop() {
		o.Surface(h, 0.01, f)
	}
}

func BenchmarkSpectrogram(b *testing.B) {
	h, f := response(1, 480, resonance{1, 150, 8, 0}), grid()
	g := Spectrogram{StepS: 0.002, Frames: 200, WindowS: 0.02}
	for b.Loop() {
		g.Surface(h, 0.01, f)
	}
}

func BenchmarkEnergyTime(b *testing.B) {
	h := response(3, 480, resonance{1, 150, 8, 0})
	for b.Loop() {
		EnergyTime(h, 0.01, -0.01, 2)
	}
}
