package take

import (
	"fmt"
	"math"
)

// Band is one octave of IEC 61260-1, or the part of it in which something is known.
type Band struct {
	CentreHz float64 // exact, base ten: 1000·10^(0.3 n)
	FromHz   float64
	ToHz     float64
}

// octaves are the octave bands of IEC 61260-1 from 16 Hz to 16 kHz as far as they
// lie between two frequencies; one of which less than half an octave is left is not
// among them.
func octaves(fromHz, toHz float64) []Band {
	var out []Band
	for n := -6; n <= 4; n++ {
		centre := 1000 * math.Pow(10, 0.3*float64(n))
		edge := math.Pow(10, 0.15)
		b := Band{centre, math.Max(centre/edge, fromHz), math.Min(centre*edge, toHz)}
		if b.ToHz >= math.Sqrt2*b.FromHz {
			out = append(out, b)
		}
	}
	return out
}

func (b Band) holds(f float64) bool { return f >= b.FromHz && f <= b.ToHz }

// Name is the nominal frequency of the octave, as people say it: "31.5 Hz", "4 kHz"
// (IEC 61260-1, annex E).
func (b Band) Name() string {
	nominal := [...]float64{16, 31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000, 16000}
	n := int(math.Round(math.Log10(b.CentreHz/1000)/0.3)) + 6
	if n < 0 || n >= len(nominal) {
		return fmt.Sprintf("%.0f Hz", b.CentreHz)
	}
	if f := nominal[n]; f >= 1000 {
		return fmt.Sprintf("%g kHz", f/1000)
	}
	return fmt.Sprintf("%g Hz", nominal[n])
}
