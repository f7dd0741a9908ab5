package response

import (
	"math"
	"math/cmplx"
	"math/rand"
	"testing"

	"pgregory.net/rapid"

	"stillroom/dsp/impulse"
)

// decaying is a response of so many seconds: noise that decays, after an arrival at
// lag 300, with something in every band.
func decaying(seconds float64) *impulse.Impulse {
	rng := rand.New(rand.NewSource(7))
	x := make([]float64, int(seconds*48000))
	for i := range x {
		x[i] = 1e-5 * rng.NormFloat64()
		if i >= 300 {
			x[i] += rng.NormFloat64() * math.Exp(-float64(i-300)/(0.05*float64(len(x))))
		}
	}
	return &impulse.Impulse{Samples: x, RateHz: 48000, Band: impulse.Band{EdgeHz: 10}}
}

func usualCycles() CycleGate {
	return CycleGate{Cycles: 6, OpenS: -0.002, OpenTaperS: 0.002, CloseShare: 0.3, ShortestS: 0.002, LongestS: 0.25}
}

// Each point is what the fixed gate of that length gives there, evaluated one by one.
func TestCycleGateIsTheFixedGateOfItsLength(t *testing.T) {
	h := decaying(1)
	const zero = 300.3 / 48000
	grid := Grid(48000)
	rapid.Check(t, func(t *rapid.T) {
		g := CycleGate{
			Cycles: rapid.Float64Range(1, 60).Draw(t, "cycles"), OpenS: -rapid.Float64Range(0, 0.005).Draw(t, "open"),
			OpenTaperS: rapid.Float64Range(0, 0.005).Draw(t, "opening taper"), CloseShare: rapid.Float64Range(0, 1).Draw(t, "closing share"),
			ShortestS: rapid.Float64Range(0, 0.01).Draw(t, "shortest"), LongestS: rapid.Float64Range(0.01, 0.5).Draw(t, "longest"),
		}
		f := []float64{grid[rapid.IntRange(0, len(grid)-1).Draw(t, "point")]}
		p := h.Gated(zero, g.At(f[0]))
		sum := 1e-300
		for _, v := range p.Samples {
			sum += math.Abs(v)
		}
		edge := 1 / cmplx.Abs(p.Edge.At(f[0]))
		got, want := g.Spectrum(h, zero, f)[0], p.Spectrum(f)[0]
		if off := cmplx.Abs(got-want) / sum / edge; !(off < 1e-10) {
			t.Fatalf("at %g Hz: %v, the fixed gate %v: %.2g of Σ|h|", f[0], got, want, off)
		}
	})
}

// Where N/f is the length of a fixed gate, both are one; and below the reach of the
// longest gate and above that of the shortest it is the fixed gate all along.
func TestCycleGateMeetsTheFixedGates(t *testing.T) {
	h := decaying(1)
	const zero = 300.0 / 48000
	g := usualCycles()
	f := Grid(48000)
	got := g.Spectrum(h, zero, f)
	long, short := h.Gated(zero, g.of(g.LongestS)).Spectrum(f), h.Gated(zero, g.of(g.ShortestS)).Spectrum(f)
	middle := h.Gated(zero, impulse.Gate{OpenS: -0.002, OpenTaperS: 0.002, CloseS: 0.006, CloseTaperS: 0.3 * 0.006}).Spectrum(f)
	for i, hz := range f {
		want := got[i]
		switch {
		case hz <= 24:
			want = long[i]
		case hz >= 3000:
			want = short[i]
		case hz == 1000:
			want = middle[i]
		}
		if cmplx.Abs(got[i]-want) > 1e-9 {
			t.Fatalf("at %g Hz: %v, the fixed gate gives %v", hz, got[i], want)
		}
	}
}

func TestCycleGateOutsideTheBand(t *testing.T) {
	got := usualCycles().Spectrum(decaying(0.3), 0, []float64{0, -5, 24001, 100, math.NaN()})
	for i, v := range got {
		if known := !cmplx.IsNaN(v); known != (i == 3) {
			t.Errorf("point %d: %v", i, v)
		}
	}
}

func TestCycleGateThatCannotBe(t *testing.T) {
	for _, g := range []CycleGate{{Cycles: 0.5, LongestS: 1}, {Cycles: 4}, {Cycles: 4, LongestS: 1, ShortestS: 2},
		{Cycles: 4, LongestS: 1, CloseShare: 1.1}, {Cycles: 4, LongestS: 1, OpenS: 0.1}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%+v was taken", g)
				}
			}()
			g.At(100)
		}()
	}
}

// A response of 3 s on the whole grid, with windows of up to 3 s.
func BenchmarkCycleGate(b *testing.B) {
	h := decaying(3)
	g := usualCycles()
	g.Cycles, g.LongestS = 30, 2.9
	f := Grid(48000)
	for b.Loop() {
		g.Spectrum(h, 300.0/48000, f)
	}
}
