package response

import (
	"math"
	"math/cmplx"
	"math/rand"
	"testing"
)

func TestGridLinesUpAcrossRates(t *testing.T) {
	base := Grid(48000)
	if base[0] != 10 {
		t.Errorf("the grid begins at %.12g Hz, not 10", base[0])
	}
	for _, rate := range []float64{44100, 96000, 192000} {
		g := Grid(rate)
		for i := range min(len(g), len(base)) {
			if g[i] != base[i] {
				t.Fatalf("point %d is %g Hz at %g Hz and %g Hz at 48 kHz", i, g[i], rate, base[i])
			}
		}
		if top := g[len(g)-1]; top > rate/2 || top > 48000 || top < 0.98*math.Min(48000, rate/2) {
			t.Errorf("at %g Hz the grid ends at %g Hz", rate, top)
		}
	}
	if i := Nearest(base, 1000); base[i] != 1000 {
		t.Errorf("1 kHz is not on the grid: %g", base[i])
	}
}

func TestUnwrapUndoesWrapping(t *testing.T) {
	var h []complex128
	var want []float64
	for i := range 300 {
		deg := -0.01*float64(i*i) + 30
		want = append(want, deg)
		h = append(h, cmplx.Rect(1, deg*math.Pi/180))
	}
	for i, got := range UnwrapDeg(WrappedDeg(h)) {
		if math.Abs(got-want[i]) > 1e-9 {
			t.Fatalf("point %d unwraps to %g°, is %g°", i, got, want[i])
		}
	}
}

func TestUnwrapPassesOverGaps(t *testing.T) {
	got := UnwrapDeg([]float64{math.NaN(), 170, math.NaN(), -170, -160})
	if got[1] != 170 || !math.IsNaN(got[2]) || got[3] != 190 || got[4] != 200 {
		t.Errorf("unwrapped to %v", got)
	}
}

func TestWrapKeeps180Positive(t *testing.T) {
	if got := WrappedDeg([]complex128{complex(-1, math.Copysign(0, -1))}); got[0] != 180 {
		t.Errorf("phase of −1−j0 is %g°, the range is (−180°, 180°]", got[0])
	}
}

// A delay of τ has a group delay of τ at every frequency.
func TestGroupDelayOfADelay(t *testing.T) {
	f := Grid(48000)
	h := make([]complex128, len(f))
	for i := range f {
		h[i] = cmplx.Exp(complex(0, -2*math.Pi*f[i]*0.00123))
	}
	for i, got := range GroupDelayS(f, h) {
		if math.Abs(got-0.00123) > 1e-9 {
			t.Fatalf("group delay at %g Hz is %g s, is 1.23 ms", f[i], got)
		}
	}
}

// Mean of 90, 92, 94, 86 dB as power: 91.37898758203 dB (definition of the mean
// sound pressure level in IEC 60268-5:2003; worked example of harmonics.json).
func TestMeanDB(t *testing.T) {
	got := MeanDB([]float64{400, 500, 630, 800, 5000}, []float64{90, 92, 94, 86, 300}, 300, 3000)
	if math.Abs(got-91.37898758203) > 1e-10 {
		t.Errorf("mean level %.11f dB, worked example says 91.37898758203", got)
	}
	if !math.IsNaN(MeanDB([]float64{50}, []float64{90}, 300, 3000)) {
		t.Error("a band with no point has a mean")
	}
}

func TestBandEnds(t *testing.T) {
	f := Grid(48000)
	level := make([]float64, len(f))
	for i := range f { // second-order slopes: −10 dB a third of a decade out
		level[i] = math.Min(0, math.Min(30*math.Log10(f[i]/100), -30*math.Log10(f[i]/8000)))
	}
	low, high := BandEnds(f, level, 300, 3000, -10, 20, 20000)
	if math.Abs(low/(100*math.Pow(10, -1.0/3))-1) > 1e-9 || math.Abs(high/(8000*math.Pow(10, 1.0/3))-1) > 1e-9 {
		t.Errorf("band within −10 dB: %g to %g Hz", low, high)
	}
	if low, _ := BandEnds(f, level, 300, 3000, -10, 80, 20000); !math.IsNaN(low) {
		t.Errorf("an end below the valid band was given as %g Hz", low)
	}
}

// White noise of variance σ² has the density 2σ²/fs, all of it between 0 and fs/2.
func TestDensityOfWhiteNoise(t *testing.T) {
	rng := rand.New(rand.NewSource(4))
	x := make([]float64, 480000)
	for i := range x {
		x[i] = 0.5 + 0.01*rng.NormFloat64()
	}
	d := DensityOf(x, 48000)
	if got := DB(d.Band(0, 24000) / 1e-4); math.Abs(got) > 0.05 {
		t.Errorf("all of it: %.3f dB off", got)
	}
	for _, f := range []float64{100, 1000, 10000} {
		if got := DB(d.At(f) / (2e-4 / 48000)); math.Abs(got) > 0.6 {
			t.Errorf("density at %g Hz is off by %.2f dB", f, got)
		}
	}
}
