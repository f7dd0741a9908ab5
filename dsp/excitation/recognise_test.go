package excitation

import (
	"math"
	"math/rand"
	"testing"
)

// farina renders the other published form, unfaded.
func farina(f1, f2, durationS, rate float64) []float64 {
	l := durationS / math.Log(f2/f1)
	x := make([]float64, int(durationS*rate))
	for n := range x {
		x[n] = 0.5 * math.Sin(2*math.Pi*f1*l*(math.Exp(float64(n)/rate/l)-1))
	}
	return x
}

func TestRecogniseLogSweeps(t *testing.T) {
	ours := func(rate float64) []float64 {
		return Sweep{10, 21000, 2.7}.Samples(rate)
	}
	for _, c := range []struct {
		name        string
		x           []float64
		rate        float64
		f1, f2, sec float64
	}{
		{"synchronised 48k", ours(48000), 48000, 10, 21000, 2.7},
		{"synchronised 96k", ours(96000), 96000, 10, 21000, 2.7},
		{"Farina 20-20k", farina(20, 20000, 5, 44100), 44100, 20, 20000, 5},
		{"Farina 100-10k short", farina(100, 10000, 0.5, 48000), 48000, 100, 10000, 0.5},
		{"Farina to Nyquist", farina(20, 23900, 4, 48000), 48000, 20, 23900, 4},
	} {
		x := append(make([]float64, 12345), c.x...)
		x = append(x, make([]float64, 4000)...)
		r, ok := Recognise(x, c.rate)
		if !ok || !r.Log {
			t.Errorf("%s: not recognised as a log sweep", c.name)
			continue
		}
		l := c.sec / math.Log(c.f2/c.f1)
		if e := math.Abs(r.Sweep.L()/l - 1); e > 2e-4 {
			t.Errorf("%s: L off by %.1e", c.name, e)
		}
		if e := math.Abs(r.Sweep.EndHz/c.f2 - 1); e > 0.01 {
			t.Errorf("%s: end %.1f Hz, is %g", c.name, r.Sweep.EndHz, c.f2)
		}
		if r.Sweep.StartHz < c.f1*0.98 || r.Sweep.StartHz > c.f1*1.25 {
			t.Errorf("%s: start %.2f Hz, is %g", c.name, r.Sweep.StartHz, c.f1)
		}
	}
}

func TestRecogniseFindsRepeatsAndMarks(t *testing.T) {
	p := Programme{RateHz: 48000, LowHz: 20, HighHz: 20000, DurationS: 1, Repeats: 3, LevelDBFS: -6}
	x := make([]float64, 0)
	for _, v := range p.Render() {
		x = append(x, float64(v))
	}
	r, ok := Recognise(x, 48000)
	if !ok || !r.Log || len(r.Layout.Sweeps) != 3 {
		t.Fatalf("log %v with %d sweeps, want 3", r.Log, len(r.Layout.Sweeps))
	}
	for i, s := range p.Layout().Sweeps {
		if d := r.Layout.Sweeps[i].From - s.From; d < 0 || d > 300 {
			t.Errorf("sweep %d found at %d, is at %d", i, r.Layout.Sweeps[i].From, s.From)
		}
	}
}

func TestOtherSignalsAreNoLogSweeps(t *testing.T) {
	const rate = 48000
	rng := rand.New(rand.NewSource(1))
	noise, linear, tone := make([]float64, 2*rate), make([]float64, 2*rate), make([]float64, 2*rate)
	for n := range noise {
		at := float64(n) / rate
		noise[n] = rng.NormFloat64() / 8
		linear[n] = math.Sin(2 * math.Pi * (20*at + 19980*at*at/4))
		tone[n] = math.Sin(2 * math.Pi * 440 * at)
	}
	down := farina(20, 20000, 2, rate)
	for i, j := 0, len(down)-1; i < j; i, j = i+1, j-1 {
		down[i], down[j] = down[j], down[i]
	}
	for name, x := range map[string][]float64{"noise": noise, "linear sweep": linear, "tone": tone, "falling sweep": down} {
		if r, ok := Recognise(x, rate); !ok || r.Log {
			t.Errorf("%s: found %v, log sweep %v", name, ok, r.Log)
		}
	}
	if _, ok := Recognise(make([]float64, 1000), rate); ok {
		t.Error("silence was taken for a stimulus")
	}
}
