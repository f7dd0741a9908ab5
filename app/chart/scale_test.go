package chart

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A position and its value are each other's inverse on any axis that makes sense.
func TestScaleThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Axis{Log: rapid.Bool().Draw(t, "log"), Min: rapid.Float64Range(0.001, 1e4).Draw(t, "min")}
		a.Max = a.Min * rapid.Float64Range(1.001, 1e5).Draw(t, "ratio")
		s := newScale(a, 58, 991)
		p := rapid.Float64Range(58, 991).Draw(t, "position")
		if back := s.at(s.value(p)); math.Abs(back-p) > 1e-6 {
			t.Fatalf("%v: %v came back as %v", a, p, back)
		}
	})
}

func TestScaleEndsAndMiddle(t *testing.T) {
	s := newScale(Axis{Min: 20, Max: 20000, Log: true}, 0, 300)
	for _, c := range [][2]float64{{20, 0}, {200, 100}, {2000, 200}, {20000, 300}, {20 * math.Sqrt(1000), 150}} {
		if got := s.at(c[0]); math.Abs(got-c[1]) > 1e-9 {
			t.Errorf("%v Hz at %v, want %v", c[0], got, c[1])
		}
	}
	for _, v := range []float64{0, -5, math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got := s.at(v); got == got {
			t.Errorf("%v has the position %v", v, got)
		}
	}
}

// Whatever the limits, what is drawn is ascending, finite, apart, and positive on a
// log axis.
func TestLimitsAlwaysMakeSense(t *testing.T) {
	odd := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -1, 1, 20, 20000, 1e300, -1e300, 1.7e308, -1.7e308, 5e-324}
	for _, log := range []bool{false, true} {
		for _, lo := range odd {
			for _, hi := range odd {
				a := Axis{Min: lo, Max: hi, Log: log}
				l, h := a.Limits()
				if !(l < h) || !finite(l) || !finite(h) || log && l <= 0 {
					t.Errorf("%+v gives %v to %v", a, l, h)
				}
			}
		}
	}
	if l, h := (Axis{Min: 10, Max: -40}).Limits(); l != -40 || h != 10 {
		t.Errorf("an inverted pair gives %v to %v", l, h)
	}
}
