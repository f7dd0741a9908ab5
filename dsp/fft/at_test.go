package fft

import (
	"math"
	"math/cmplx"
	"math/rand"
	"testing"
)

func TestAtAgainstDirectSum(t *testing.T) {
	r := rand.New(rand.NewSource(5))
	for _, n := range []int{1, 2, 3, 17, 240, 4801, 30000} {
		x := noise(n, int64(n))
		f := []float64{0, 0.5, 1e-6, 0.25}
		for len(f) < 24 {
			f = append(f, r.Float64()/2)
		}
		origin := -float64(n)/3 + 0.37
		var norm float64
		for _, v := range x {
			norm += math.Abs(v)
		}
		quick := QuickAt(x, origin, f)
		for i, got := range At(x, origin, f) {
			var want complex128
			for k, v := range x {
				want += complex(v, 0) * cmplx.Exp(complex(0, -2*math.Pi*f[i]*(float64(k)+origin)))
			}
			if e := cmplx.Abs(quick[i]-want) / norm; e > 1e-7 {
				t.Errorf("n=%d f=%g: quick one off by %.1e of the sum of magnitudes", n, f[i], e)
			}
			if e := cmplx.Abs(got-want) / norm; e > 1e-12 {
				t.Errorf("n=%d f=%g: %v, direct sum %v, off by %.1e of the sum of magnitudes", n, f[i], got, want, e)
			}
		}
	}
}

// Values of scipy.special.ive(0, x), scipy 1.10.
func TestBesselI0(t *testing.T) {
	for _, c := range []struct{ x, scaled float64 }{
		{0, 1}, {1, 0.46575960759364043}, {5, 0.1835408126093283}, {10, 0.1278333371634286}, {30, 0.07314594648223727},
	} {
		if got := math.Exp(-c.x) * BesselI0(c.x); math.Abs(got-c.scaled) > 1e-15 {
			t.Errorf("e^-x I0(%g) = %.17g, scipy says %.17g", c.x, got, c.scaled)
		}
	}
}

func BenchmarkAt(b *testing.B) {
	x := noise(24000, 1)
	f := make([]float64, 1056)
	for i := range f {
		f[i] = 0.0002 * math.Pow(10, float64(i)/320)
	}
	for b.Loop() {
		At(x, 0, f)
	}
}
