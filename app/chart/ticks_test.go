package chart

import (
	"math"
	"strings"
	"testing"
)

func labels(ticks []tick) string {
	var out []string
	for _, t := range ticks {
		if t.label != "" {
			out = append(out, t.label)
		}
	}
	return strings.Join(out, " ")
}

func TestLabels(t *testing.T) {
	for _, c := range []struct {
		name        string
		axis        Axis
		length, gap float64
		want        string
	}{
		{"audio band", Axis{Min: 20, Max: 20000, Log: true}, 933, leastXGap, "20 50 100 200 500 1k 2k 5k 10k 20k"},
		{"from 100 Hz", Axis{Min: 100, Max: 20000, Log: true}, 933, leastXGap, "100 200 500 1k 2k 5k 10k 20k"},
		{"narrow sheet", Axis{Min: 20, Max: 20000, Log: true}, 210, leastXGap, "100 1k 10k"},
		{"less than a decade", Axis{Min: 320, Max: 460, Log: true}, 933, leastXGap, "320 330 340 350 360 370 380 390 400 410 420 430 440 450 460"},
		{"level", Axis{Min: 60, Max: 100}, 258, leastYGap, "60 65 70 75 80 85 90 95 100"},
		{"level, step 10", Axis{Min: 60, Max: 100, Step: 10}, 258, leastYGap, "60 70 80 90 100"},
		{"odd tens, step 20", Axis{Min: -90, Max: -10, Step: 20}, 180, leastYGap, "-90 -70 -50 -30 -10"},
		{"phase", Axis{Min: -180, Max: 180, Step: 90, Unit: "°"}, 258, leastYGap, "-180° -90° 0° 90° 180°"},
		{"ms", Axis{Min: 0, Max: 14}, 933, airyXGap, "0 2 4 6 8 10 12 14"},
		{"half ms", Axis{Min: 0, Max: 2, Step: 0.5}, 933, airyXGap, "0.0 0.5 1.0 1.5 2.0"},
		{"seconds", Axis{Min: 0, Max: 20, Step: 5, Unit: " s"}, 500, airyXGap, "0 s 5 s 10 s 15 s 20 s"},
		{"step too small for its labels", Axis{Min: 0, Max: 100, Step: 1}, 100, leastYGap, "0 16 32 48 64 80 96"},
		{"no negative zero", Axis{Min: -0.3, Max: 0.3, Step: 0.1}, 300, leastYGap, "-0.3 -0.2 -0.1 0.0 0.1 0.2 0.3"},
	} {
		if got := labels(c.axis.ticks(c.length, c.gap)); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// Between the labelled lines of a frequency axis stand finer ones; the decades are
// stronger than all others.
func TestWeightsOfFrequencyLines(t *testing.T) {
	got := map[float64]weight{}
	for _, k := range (Axis{Min: 20, Max: 20000, Log: true}).ticks(933, leastXGap) {
		got[math.Round(k.value)] = k.weight
	}
	for _, f := range []float64{100, 1000, 10000} {
		if got[f] != strong {
			t.Errorf("%v Hz is no decade line", f)
		}
	}
	for _, f := range []float64{20, 30, 40, 50, 60, 70, 80, 90, 200, 900, 3000, 20000} {
		if w, ok := got[f]; !ok || w == strong {
			t.Errorf("%v Hz: line %v, weight %v", f, ok, w)
		}
	}
	if len(got) != 28 {
		t.Errorf("%d lines, want 28", len(got))
	}
}

func TestNiceStep(t *testing.T) {
	for least, want := range map[float64]float64{0.9: 1, 1: 1, 1.1: 2, 2.1: 5, 5.1: 10, 0.03: 0.05, 700: 1000, 0: 1, -3: 1} {
		if got := NiceStep(least); math.Abs(got-want) > 1e-12*want {
			t.Errorf("NiceStep(%v) = %v, want %v", least, got, want)
		}
	}
	for _, v := range []float64{math.NaN(), math.Inf(1)} {
		if got := NiceStep(v); got != 1 {
			t.Errorf("NiceStep(%v) = %v", v, got)
		}
	}
}

// No axis, however odd, gives more lines than fit.
func TestTicksAreFew(t *testing.T) {
	odd := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -1e9, 1, 1 + 1e-12, 20000, 1e300, -1e300, 1.7e308, -1.7e308, 5e-324}
	for _, log := range []bool{false, true} {
		for _, lo := range odd {
			for _, hi := range odd {
				for _, step := range []float64{0, 1e-30, -1, math.NaN(), math.Inf(1), 7} {
					a := Axis{Min: lo, Max: hi, Log: log, Step: step}
					if n := len(a.ticks(900, leastYGap)); n > 6000 {
						t.Fatalf("%+v: %d lines", a, n)
					}
				}
			}
		}
	}
}
