package fft

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

func noise(n int, seed int64) []float64 {
	r := rand.New(rand.NewSource(seed))
	x := make([]float64, n)
	for i := range x {
		x[i] = r.NormFloat64()
	}
	return x
}

// lengths that reach each pass, the direct plan, the four-step plan and odd
// shapes of its matrix.
var lengths = []int{4, 6, 8, 10, 16, 18, 30, 48, 90, 120, 450, 960, 1024, 4096, 4100 - 4, 6144,
	10240, 18432, 30720, 32768, 46080, 65536, 81920, 147456, 3 * 3 * 3 * 5 * 5 * 64, 312500, 524288}

func TestAgainstGonum(t *testing.T) {
	for _, n := range lengths {
		x := noise(n, int64(n))
		got := NewReal(n).Coefficients(nil, x)
		want := fourier.NewFFT(n).Coefficients(nil, x)
		scale := math.Sqrt(float64(n))
		for k := range want {
			if e := cmplx.Abs(got[k]-want[k]) / scale; e > 2e-14 {
				t.Fatalf("n=%d: X[%d] = %v, gonum says %v", n, k, got[k], want[k])
			}
		}
	}
}

func TestSequenceUndoesCoefficients(t *testing.T) {
	for _, n := range lengths {
		p := NewReal(n)
		x := noise(n, int64(n)+1)
		y := p.Sequence(nil, p.Coefficients(nil, x))
		for i := range x {
			if math.Abs(x[i]-y[i]) > 1e-13 {
				t.Fatalf("n=%d: sample %d came back as %g, was %g", n, i, y[i], x[i])
			}
		}
	}
}

func TestDelayGivesFallingPhase(t *testing.T) {
	const n, d = 480, 7
	x := make([]float64, n)
	x[d] = 1
	for k, v := range NewReal(n).Coefficients(nil, x) {
		want := cmplx.Exp(complex(0, -2*math.Pi*float64(k*d)/n))
		if cmplx.Abs(v-want) > 1e-14 {
			t.Fatalf("X[%d] = %v, a delay of %d samples gives %v", k, v, d, want)
		}
	}
}

func TestShortSignalIsPadded(t *testing.T) {
	p := NewReal(96)
	x := noise(37, 3)
	full := append(append([]float64{}, x...), make([]float64, 96-37)...)
	a, b := p.Coefficients(nil, x), NewReal(96).Coefficients(nil, full)
	for k := range a {
		if a[k] != b[k] {
			t.Fatalf("X[%d]: %v padded inside, %v padded outside", k, a[k], b[k])
		}
	}
}

func TestGoodLength(t *testing.T) {
	for n := 17; n < 200000; n += 1 + n/97 {
		l := GoodLength(n)
		if l < n || float64(l) > 1.26*float64(n) || l%2 != 0 || !smooth(l) {
			t.Fatalf("GoodLength(%d) = %d", n, l)
		}
	}
	if l := GoodLength(262139); l != 262144 {
		t.Errorf("GoodLength of the prime 262139 is %d, want 262144", l)
	}
}

func TestBadLengthPanics(t *testing.T) {
	for _, n := range []int{0, 2, 7, 14, 262139} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("NewReal(%d) did not panic", n)
				}
			}()
			NewReal(n)
		}()
	}
}

func BenchmarkReal(b *testing.B) {
	for _, n := range []int{1 << 14, 312500, 1 << 19, 1 << 20, 1 << 21} {
		x := noise(n, 1)
		b.Run(fmt.Sprintf("stillroom/%d", n), func(b *testing.B) {
			p := NewReal(n)
			dst := make([]complex128, n/2+1)
			for b.Loop() {
				p.Coefficients(dst, x)
			}
		})
		b.Run(fmt.Sprintf("gonum/%d", n), func(b *testing.B) {
			p := fourier.NewFFT(n)
			dst := make([]complex128, n/2+1)
			for b.Loop() {
				p.Coefficients(dst, x)
			}
		})
	}
}
