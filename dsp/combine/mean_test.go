package combine

import (
	"math"
	"math/cmplx"
	"testing"

	"pgregory.net/rapid"

	"stillroom/dsp/response"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.12g, want %.12g within %g", what, got, want, within)
	}
}

// speaker is a response with a high-pass of second order, a peak and a slope of phase:
// something that is alike in no two octaves.
func speaker(frequencyHz []float64) []complex128 {
	h := make([]complex128, len(frequencyHz))
	for i, f := range frequencyHz {
		s, p := complex(0, f/60), complex(0, f/2300)
		h[i] = s * s / (s*s + 1.2*s + 1) * (p*p + 0.8*p + 1) / (p*p + 0.4*p + 1) / (1 + complex(0, f/30000))
	}
	return h
}

// 90, 92, 94 and 86 dB have the mean power of 91.37898758203 dB (worked example for
// IEC 60268-5:2003) and the mean level of 90.5 dB.
func TestMeansOfTheWorkedExample(t *testing.T) {
	curves := [][]float64{{90, 1}, {92, 1}, {94, math.NaN()}, {86, 1}}
	power, level := PowerMeanDB(curves), LevelMeanDB(curves)
	near(t, "power mean", power[0], 91.37898758203, 1e-11)
	near(t, "level mean", level[0], 90.5, 1e-12)
	if !math.IsNaN(power[1]) || !math.IsNaN(level[1]) {
		t.Error("a mean changed its members where one of them is not known")
	}
}

// The two properties that any user relies on: a mean of a curve with itself is that
// curve, and its difference to itself is nothing.
func TestACurveWithItself(t *testing.T) {
	f := response.Grid(48000)
	rapid.Check(t, func(t *rapid.T) {
		level := rapid.SliceOfN(rapid.Float64Range(-150, 150), 1, 40).Draw(t, "dB")
		times := rapid.IntRange(1, 9).Draw(t, "times")
		var curves [][]float64
		for range times {
			curves = append(curves, level)
		}
		g := GroupOf(curves)
		for i, want := range level {
			for _, got := range []float64{g.PowerMeanDB[i], g.MeanDB[i], g.LowDB[i], g.HighDB[i]} {
				if !(math.Abs(got-want) < 1e-11) {
					t.Fatalf("mean of %g dB with itself is %.15g", want, got)
				}
			}
			if times > 1 && !(g.DeviationDB[i] < 1e-11) {
				t.Fatalf("deviation from itself: %g dB", g.DeviationDB[i])
			}
		}
		for _, d := range DifferenceDB(level, level) {
			if d != 0 {
				t.Fatalf("difference to itself: %g dB", d)
			}
		}
	})
	h := speaker(f)
	same, found := ComplexMean(f, [][]complex128{h, h, h}, 40, 20000)
	for i := range h {
		if cmplx.Abs(same[i]/h[i]-1) > 1e-12 {
			t.Fatalf("complex mean with itself at %g Hz: %v, was %v", f[i], same[i], h[i])
		}
	}
	if found[2].DelayS != 0 || found[2].Inverted || found[2].Likeness < 1-1e-12 {
		t.Errorf("against itself: %+v", found[2])
	}
}

// Takes that differ in delay and polarity average to the first.
func TestComplexMeanBringsTakesTogether(t *testing.T) {
	f := response.Grid(48000)
	h := speaker(f)
	late := Sum(f, []Driver{{Response: h, DelayS: 0.0012345, Inverted: true}})
	early := Sum(f, []Driver{{Response: h, DelayS: -0.0001}})
	mean, found := ComplexMean(f, [][]complex128{h, late, early}, 40, 20000)
	for i := range h {
		if cmplx.Abs(mean[i]/h[i]-1) > 1e-9 {
			t.Fatalf("mean at %g Hz: %v, want %v", f[i], mean[i], h[i])
		}
	}
	if !found[1].Inverted || found[2].Inverted {
		t.Errorf("polarities: %+v", found)
	}
}

// 2, 4, 4, 4, 5, 5, 7, 9: mean 5, sum of squared deviations 32, standard deviation
// √(32/7).
func TestGroup(t *testing.T) {
	var curves [][]float64
	for _, v := range []float64{2, 4, 4, 4, 5, 5, 7, 9} {
		curves = append(curves, []float64{v, -v})
	}
	g := GroupOf(curves)
	near(t, "mean", g.MeanDB[0], 5, 1e-12)
	near(t, "deviation", g.DeviationDB[0], math.Sqrt(32.0/7), 1e-12)
	near(t, "least", g.LowDB[1], -9, 0)
	near(t, "most", g.HighDB[1], -2, 0)
	if g.Count != 8 {
		t.Errorf("a group of %d", g.Count)
	}
	one := GroupOf([][]float64{{3, math.NaN()}})
	if !math.IsNaN(one.DeviationDB[0]) || one.MeanDB[0] != 3 || !math.IsNaN(one.LowDB[1]) || !math.IsNaN(one.HighDB[1]) {
		t.Errorf("a group of one: %+v", one)
	}
	if none := GroupOf(nil); none.MeanDB != nil || none.DeviationDB != nil {
		t.Errorf("a group of none: %+v", none)
	}
}

func TestCurvesOfDifferentLengthsPanic(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("two lengths were averaged")
		}
	}()
	PowerMeanDB([][]float64{{1, 2}, {1}})
}
