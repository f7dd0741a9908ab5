package impulse

import (
	"math"
	"testing"
)

// A sine resampled is the sine of the other clock.
func TestResampleSines(t *testing.T) {
	const rate = 48000
	for _, ppm := range []float64{-200, -1, 37, 200} {
		for _, c := range []struct{ f, limitDB float64 }{{20, -140}, {1000, -140}, {10000, -135}, {18000, -130}} {
			x := make([]float64, 3*rate)
			for n := range x {
				x[n] = math.Sin(2 * math.Pi * c.f / rate * float64(n))
			}
			y := Resample(x, ppm)
			worst := 0.0
			for n := 200; n < len(y)-200; n++ {
				want := math.Sin(2 * math.Pi * c.f / rate * float64(n) * (1 + ppm*1e-6))
				worst = math.Max(worst, math.Abs(y[n]-want))
			}
			if db := 20 * math.Log10(worst); db > c.limitDB {
				t.Errorf("%g ppm, %g Hz: residue of %.0f dB", ppm, c.f, db)
			}
		}
	}
}

func TestResampleByNothingIsNothing(t *testing.T) {
	x := []float64{1, -2, 3, 0.5}
	for i, v := range Resample(x, 0) {
		if v != x[i] {
			t.Errorf("sample %d: %g, was %g", i, v, x[i])
		}
	}
}

func BenchmarkResample(b *testing.B) {
	x := make([]float64, 480000)
	for b.Loop() {
		Resample(x, 37)
	}
}
