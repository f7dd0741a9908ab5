package desk

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// unknown stands where a value cannot be known.
const unknown = "—"

// number writes v with a fixed count of decimals, or a dash where v is not a
// finite number. A negative zero is written without its sign.
func number(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return unknown
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

// quantity is number followed by a unit; a value that cannot be known has none.
func quantity(v float64, decimals int, unit string) string {
	s := number(v, decimals)
	if s == unknown {
		return s
	}
	return s + " " + unit
}

// hertz writes a frequency with three significant figures at least: "20.0 Hz",
// "213 Hz", "1.00 kHz", "19.4 kHz".
func hertz(f float64) string {
	switch {
	case !(f > 0) || math.IsInf(f, 0):
		return unknown
	case f < 99.95:
		return quantity(f, 1, "Hz")
	case f < 999.5:
		return quantity(f, 0, "Hz")
	case f < 9995:
		return quantity(f/1000, 2, "kHz")
	}
	return quantity(f/1000, 1, "kHz")
}

// round writes a frequency as people say it, to three figures: "20 Hz", "1 kHz",
// "19.4 kHz".
func round(f float64) string {
	if !(f > 0) || math.IsInf(f, 0) {
		return unknown
	}
	f, _ = strconv.ParseFloat(strconv.FormatFloat(f, 'g', 3, 64), 64)
	if f < 1000 {
		return plain(f) + " Hz"
	}
	return plain(f/1000) + " kHz"
}

// band writes a range of frequencies: "20–40 Hz", "38 Hz–19.4 kHz".
func band(from, to float64) string {
	lo, hi := round(from), round(to)
	if l, unit, ok := strings.Cut(lo, " "); ok && strings.HasSuffix(hi, " "+unit) {
		return l + "–" + hi
	}
	return lo + "–" + hi
}

// ordinal writes 2 as "2nd".
func ordinal(n int) string {
	switch n {
	case 2:
		return "2nd"
	case 3:
		return "3rd"
	}
	return fmt.Sprintf("%dth", n)
}

// smoothing writes a fraction of an octave in words.
func smoothing(fraction int) string {
	if fraction <= 0 {
		return "not smoothed"
	}
	return fmt.Sprintf("1/%d octave", fraction)
}

// moment writes a time as the list of takes shows it, in the reader's zone.
func moment(t time.Time) string {
	return t.Local().Format("2 Jan 15:04")
}

// fullMoment writes a time with its year.
func fullMoment(t time.Time) string {
	return t.Local().Format("2 Jan 2006, 15:04")
}

// toDBFS turns a magnitude of samples into dBFS; full scale is a sine whose peak
// is 1.0 (AES17). Silence gives −Inf.
func toDBFS(peak float64) float64 {
	return 20 * math.Log10(peak)
}

// fromDBFS is the inverse of toDBFS.
func fromDBFS(db float64) float64 {
	return math.Pow(10, db/20)
}

// shortDay writes a day after a word, with its year where other is of another year or
// is none. A zero day is nothing.
func shortDay(t time.Time, word string, other time.Time) string {
	switch {
	case t.IsZero():
		return ""
	case t.Year() == other.Year():
		return word + t.Local().Format("2 Jan")
	}
	return word + t.Local().Format("2 Jan 2006")
}

// grouped writes a count with its thousands apart: "1,284".
func grouped(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

// plural writes a count of things: "1 take", "1,284 takes".
func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return grouped(n) + " " + what + "s"
}

// clock writes a time of today as "15:58", and any other with its day.
func clock(t, now time.Time) string {
	if dayText(t) == dayText(now) {
		return t.Local().Format("15:04")
	}
	return fullMoment(t)
}

// joined is a list with commas.
func joined(list []string) string { return strings.Join(list, ", ") }
