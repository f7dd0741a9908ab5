package bandlimited

import (
	"math"
	"testing"
)

func sine(n int, cycles, phase float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = math.Sin(2*math.Pi*cycles*float64(i)/float64(n) + phase)
	}
	return x
}

// A periodic sine is known between its samples in closed form.
func TestFinerAgainstClosedForm(t *testing.T) {
	var pool Pool
	f := pool.Frame(48000, 960)
	n := f.Len()
	fine := f.Finer(f.Spectrum(sine(n, 123, 0.4)), 4)
	for i, v := range fine {
		want := math.Sin(2*math.Pi*123*float64(i)/float64(4*n) + 0.4)
		if math.Abs(v-want) > 1e-12 {
			t.Fatalf("fine sample %d is %g, the sine is %g", i, v, want)
		}
	}
	back := f.Signal(f.Coarser(fine, 4))
	for i, want := range sine(n, 123, 0.4) {
		if math.Abs(back[i]-want) > 1e-12 {
			t.Fatalf("sample %d came back as %g, was %g", i, back[i], want)
		}
	}
}

// The square of sin(ωt) is (1-cos(2ωt))/2. Where 2ω lies above half the rate only
// the constant may come back, and nothing folded down.
func TestCoarserMakesNoAlias(t *testing.T) {
	var pool Pool
	f := pool.Frame(48000, 960)
	fine := f.Finer(f.Spectrum(sine(f.Len(), float64(f.Len())*0.4, 0)), 4)
	for i, v := range fine {
		fine[i] = v * v
	}
	for i, v := range f.Signal(f.Coarser(fine, 4)) {
		if math.Abs(v-0.5) > 1e-12 {
			t.Fatalf("sample %d is %g, and only the constant 0.5 is in the band", i, v)
		}
	}
}

func TestKernelAgainstClosedForm(t *testing.T) {
	k := NewKernel(64, 14)
	for _, c := range []struct{ perSample, tolerance float64 }{{0.02, 2e-7}, {0.2, 1.5e-6}, {0.4, 4e-6}} {
		x := make([]float64, 2000)
		for i := range x {
			x[i] = math.Sin(2 * math.Pi * c.perSample * float64(i))
		}
		for place := 500.0; place < 1500; place += 1.237 {
			want := math.Sin(2 * math.Pi * c.perSample * place)
			if got := k.At(x, place); math.Abs(got-want) > c.tolerance {
				t.Fatalf("%g cycles a sample at %g: %g, the sine is %g", c.perSample, place, got, want)
			}
		}
	}
}

func TestKernelAddIsAtReversed(t *testing.T) {
	k := NewKernel(16, 8)
	x := make([]float64, 200)
	k.Add(x, 80, 2)
	for i, v := range x {
		want := 0.0
		if i == 80 {
			want = 2
		}
		if math.Abs(v-want) > 1e-12 {
			t.Fatalf("a pulse on a sample gave %g at %d", v, i)
		}
	}
	if got := k.At(x, 80); math.Abs(got-2) > 1e-12 {
		t.Fatalf("read back as %g", got)
	}
	if got := k.At(x, -500); got != 0 {
		t.Fatalf("outside the signal it is %g", got)
	}
}
