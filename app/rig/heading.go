package rig

import (
	"slices"
	"strings"
	"unicode"
)

// heading is what the words over the columns say.
type heading struct {
	named   bool
	kHz     bool
	phase   bool
	radians bool
}

// and joins two lines of a heading: one with names, one with units.
func (h heading) and(o heading) heading {
	return heading{h.named || o.named, h.kHz || o.kHz, h.phase || o.phase, h.radians || o.radians}
}

// headingOf reads a line that consists of words of a heading alone, one of them a
// word for frequency. A line with digits is none, so that "level at 1 kHz" does not
// scale a curve.
func headingOf(line string) (heading, bool) {
	if strings.ContainsFunc(line, unicode.IsDigit) {
		return heading{}, false
	}
	words := strings.FieldsFunc(strings.ToLower(strings.ReplaceAll(line, "°", " deg ")), func(r rune) bool { return !unicode.IsLetter(r) })
	frequency := false
	for _, w := range words {
		switch {
		case slices.Contains([]string{"f", "freq", "frequency", "frequencies", "hz", "khz", "hertz"}, w):
			frequency = true
		case !slices.Contains(headingWords(), w):
			return heading{}, false
		}
	}
	has := func(w ...string) bool {
		return slices.ContainsFunc(w, func(w string) bool { return slices.Contains(words, w) })
	}
	radians := has("rad", "radian", "radians")
	h := heading{named: true, kHz: has("khz"), radians: radians, phase: radians || has("phase", "deg", "degree", "degrees", "phi", "angle")}
	return h, frequency && len(words) > 1
}

// headingWords are those besides frequency.
func headingWords() []string {
	return []string{"db", "dbr", "spl", "dbspl", "dbfs", "dbv", "level", "levels", "mag", "magnitude", "amp", "amplitude", "gain",
		"response", "resp", "correction", "corr", "value", "sensitivity", "sens", "phase", "deg", "degree", "degrees", "phi", "rad",
		"radian", "radians", "in", "re", "rel", "relative", "pa", "v", "and", "cal", "calibration", "angle"}
}
