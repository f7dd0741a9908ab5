package response

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"stillroom/dsp/impulse"
)

func widths() map[string]impulse.Width {
	return map[string]impulse.Width{"1/48": impulse.Octave(48), "1/24": impulse.Octave(24), "1/12": impulse.Octave(12),
		"1/6": impulse.Octave(6), "1/3": impulse.Octave(3), "1/1": impulse.Octave(1), "ERB": impulse.ERB()}
}

// Table of B. R. Glasberg and B. C. J. Moore's equation 3, evaluated: 24.7 Hz at 0 Hz
// and 132.639 Hz at 1 kHz.
func TestERBHz(t *testing.T) {
	for f, want := range map[float64]float64{0: 24.7, 100: 35.4939, 1000: 132.639, 10000: 1104.09} {
		if got := impulse.ERBHz(f); math.Abs(got-want) > 1e-9 {
			t.Errorf("ERB at %g Hz is %g Hz, not %g", f, got, want)
		}
	}
	for _, f := range []float64{50, 1000, 8000} {
		lo, hi := impulse.ERB().Around(f, 1, 24000)
		if math.Abs(hi-lo-impulse.ERBHz(f)) > 1e-9*f || math.Abs(lo*hi-f*f) > 1e-9*f*f {
			t.Errorf("at %g Hz the mean runs from %g to %g Hz", f, lo, hi)
		}
	}
}

func TestOctaveWidths(t *testing.T) {
	for _, n := range []int{1, 3, 6, 12, 24, 48} {
		lo, hi := impulse.Octave(n).Around(1000, 10, 20000)
		if math.Abs(math.Log2(hi/lo)*float64(n)-1) > 1e-12 || math.Abs(lo*hi-1e6) > 1e-6 {
			t.Errorf("1/%d octave runs from %g to %g Hz", n, lo, hi)
		}
	}
}

// Nothing below or above the band has a part in the mean: what lies inside at f is as
// far from either end of the window as the nearer end of the band allows.
func TestMeanStaysInTheBand(t *testing.T) {
	for name, w := range widths() {
		for _, f := range []float64{20, 20.1, 23, 19000, 20000} {
			lo, hi := w.Around(f, 20, 20000)
			if lo < 20*(1-1e-12) || hi > 20000*(1+1e-12) || math.Abs(lo*hi/(f*f)-1) > 1e-12 {
				t.Errorf("%s at %g Hz runs from %g to %g Hz", name, f, lo, hi)
			}
		}
	}
}

// A flat band keeps its power, whatever its level, its ends and the width.
func TestSmoothingKeepsTheFlat(t *testing.T) {
	grid := Grid(48000)
	rapid.Check(t, func(t *rapid.T) {
		power := math.Pow(10, rapid.Float64Range(-12, 12).Draw(t, "lg power"))
		from := rapid.IntRange(0, len(grid)-2).Draw(t, "from")
		to := rapid.IntRange(from+1, len(grid)).Draw(t, "to")
		curve := make([]float64, len(grid))
		for i := range curve {
			if curve[i] = math.NaN(); i >= from && i < to {
				curve[i] = power
			}
		}
		name := rapid.SampledFrom([]string{"1/48", "1/24", "1/12", "1/6", "1/3", "1/1", "ERB"}).Draw(t, "width")
		for i, v := range Smooth(grid, curve, widths()[name]) {
			if inside := i >= from && i < to; inside != !math.IsNaN(v) || inside && math.Abs(v/power-1) > 1e-10 {
				t.Fatalf("%s: flat %g became %g at %g Hz", name, power, v, grid[i])
			}
		}
	})
}

// A power straight in frequency keeps its mean: the mean of a+bf from f/k to f·k is
// a+b f (k+1/k)/2, closed form.
func TestSmoothingOfAStraightPower(t *testing.T) {
	f := Grid(48000)
	power := make([]float64, len(f))
	for i, hz := range f {
		power[i] = 3 + hz/100
	}
	for _, n := range []int{1, 3, 6, 12, 24, 48} {
		k := math.Pow(2, 0.5/float64(n))
		got := Smooth(f, power, impulse.Octave(n))
		for _, hz := range []float64{100, 1000, 8000} {
			i := Nearest(f, hz)
			want := 3 + f[i]/100*(k+1/k)/2
			if math.Abs(got[i]/want-1) > 1e-9 {
				t.Errorf("1/%d octave at %g Hz: %.12g, closed form %.12g", n, hz, got[i], want)
			}
		}
	}
}

// The curve and the impulse response give the same mean where the curve holds all:
// a second-order high-pass (testdata/biquads_w3c.csv).
func TestSmoothingOfCurveAndImpulseAgree(t *testing.T) {
	q := biquads(t)[10]
	f := Grid(48000)
	power := make([]float64, len(f))
	for i, hz := range f {
		power[i] = real(q.at(hz))*real(q.at(hz)) + imag(q.at(hz))*imag(q.at(hz))
	}
	p := impulse.Piece{Samples: q.samples(96000), RateHz: 48000}
	for name, w := range widths() {
		a, b := Smooth(f, power, w), p.PowerOver(f, w, f[0], f[len(f)-1])
		for i := range f {
			if off := math.Abs(DB(a[i] / b[i])); !(off < 0.01) {
				t.Fatalf("%s at %g Hz: curve %g dB, impulse %g dB", name, f[i], DB(a[i]), DB(b[i]))
			}
		}
	}
}

// Narrow means read the spectrum between its bins, to 1e-7 (fft.QuickAt).
func TestImpulseSmoothingKeepsTheFlat(t *testing.T) {
	f := Grid(48000)
	p := impulse.Piece{Samples: append([]float64{0.25}, make([]float64, 9999)...), RateHz: 48000}
	for name, w := range widths() {
		for i, v := range p.PowerOver(f, w, 20, 20000) {
			if inside := f[i] >= 20 && f[i] <= 20000; inside != !math.IsNaN(v) || inside && math.Abs(v*16-1) > 2e-7 {
				t.Fatalf("%s at %g Hz: %g, not 1/16", name, f[i], v)
			}
		}
	}
}

func TestSmoothingByNothing(t *testing.T) {
	got := Smooth([]float64{1, 2}, []float64{5, math.NaN()}, impulse.Octave(0))
	if got[0] != 5 || !math.IsNaN(got[1]) {
		t.Errorf("%v", got)
	}
}

func BenchmarkSmooth(b *testing.B) {
	f := Grid(48000)
	power := make([]float64, len(f))
	for i := range power {
		power[i] = 1 + math.Sin(float64(i))/2
	}
	for b.Loop() {
		Smooth(f, power, impulse.ERB())
	}
}
