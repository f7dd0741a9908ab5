package chart

import (
	"math"
	"testing"
	"unicode/utf8"
)

func TestReadings(t *testing.T) {
	for _, c := range [][2]string{
		{Level(89.34), "  89.3 dB"}, {Level(-0.04), "   0.0 dB"}, {Level(math.NaN()), "     — dB"}, {Level(math.Inf(-1)), "     — dB"}, {Level(-123.4), "-123.4 dB"},
		{Degrees(-62.4), " -62°"}, {Degrees(-180), "-180°"}, {Degrees(math.NaN()), "   —°"},
		{Milliseconds(0.00008), "   0.08 ms"}, {Milliseconds(math.NaN()), "      — ms"},
		{Percent(-51.056), "  0.28 %"}, {Percent(math.NaN()), "     — %"},
		{Hertz(5), " 5.00 Hz"}, {Hertz(31.5), " 31.5 Hz"}, {Hertz(213), "  213 Hz"}, {Hertz(999.6), "1.00 kHz"}, {Hertz(1000), "1.00 kHz"},
		{Hertz(19400), "19.4 kHz"}, {Hertz(99960), " 100 kHz"}, {Hertz(0), "    — Hz"}, {Hertz(math.NaN()), "    — Hz"},
	} {
		if c[0] != c[1] {
			t.Errorf("%q, want %q", c[0], c[1])
		}
	}
}

// A reading keeps its width whatever its value.
func TestReadingsNeverJitter(t *testing.T) {
	values := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -0.0001, 1e12, -1e12}
	for v := 1e-9; v < 1e9; v *= 1.37 {
		values = append(values, v, -v)
	}
	for name, f := range map[string]func(float64) string{"level": Level, "degrees": Degrees, "ms": Milliseconds, "percent": Percent, "hertz": Hertz} {
		width := utf8.RuneCountInString(f(1))
		for _, v := range values {
			if s := f(v); utf8.RuneCountInString(s) != width {
				t.Errorf("%s(%v) = %q, %d characters, want %d", name, v, s, utf8.RuneCountInString(s), width)
			}
		}
	}
}
