package chart

import (
	"math"
	"strconv"
	"strings"
)

// Unknown stands where a value cannot be known.
const Unknown = "—"

// Fixed writes v with so many decimals, set to the right in so many characters;
// in a mono face it does not move as v changes. What is not finite or has no room
// is Unknown, set alike. A zero has no sign.
func Fixed(v float64, characters, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	if !finite(v) || len(s) > characters {
		return padded(Unknown, characters)
	}
	return padded(s, characters)
}

func padded(s string, characters int) string {
	return strings.Repeat(" ", max(characters-len([]rune(s)), 0)) + s
}

// Level writes a level as " -12.3 dB", always 9 characters.
func Level(db float64) string { return Fixed(db, 6, 1) + " dB" }

// Reading writes a value of an axis with its unit and the decimals that its kind
// usually has: levels in dB with one, angles with none, others so that a thousandth of
// the axis shows.
func (a Axis) Reading(v float64) string {
	switch {
	case a.Label == "dB":
		return Level(v)
	case a.Unit == "°":
		return Degrees(v)
	case a.Label == "Hz":
		return Hertz(v)
	}
	lo, hi := a.Limits()
	decimals := min(max(int(math.Ceil(3-math.Log10(hi-lo)-1e-9)), 0), 6)
	unit := a.Unit
	if unit == "" && a.Label != "" {
		unit = " " + a.Label
	}
	return Fixed(v, 7, decimals) + unit
}

// Degrees writes an angle as " -62°", always 5 characters.
func Degrees(deg float64) string { return Fixed(deg, 4, 0) + "°" }

// Milliseconds writes a time given in seconds as "   0.08 ms", always 10
// characters.
func Milliseconds(s float64) string { return Fixed(s*1000, 7, 2) + " ms" }

// Percent writes a ratio given in dB as "  0.28 %", always 8 characters.
func Percent(db float64) string { return Fixed(100*math.Pow(10, db/20), 6, 2) + " %" }

// Hertz writes a frequency with three figures, always 8 characters: " 31.5 Hz",
// "  213 Hz", "1.00 kHz", "19.4 kHz".
func Hertz(f float64) string {
	switch {
	case !(f > 0) || f >= 999500:
		return padded(Unknown+" Hz", 8)
	case f < 9.995:
		return padded(Fixed(f, 4, 2)+" Hz", 8)
	case f < 99.95:
		return padded(Fixed(f, 4, 1)+" Hz", 8)
	case f < 999.5:
		return padded(Fixed(f, 4, 0)+" Hz", 8)
	case f < 9995:
		return Fixed(f/1000, 4, 2) + " kHz"
	case f < 99950:
		return Fixed(f/1000, 4, 1) + " kHz"
	}
	return Fixed(f/1000, 4, 0) + " kHz"
}
