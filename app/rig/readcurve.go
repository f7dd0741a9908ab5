package rig

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"unicode"
)

// Plausible ends of a curve.
const (
	leastTopHz  = 200.0 // a curve that ends below this is in kHz, or was read wrongly
	highestHz   = 1e6
	highestDB   = 200.0
	highestTurn = 1e6 // degrees
)

// ReadCurve reads a response from a text of two or three columns: frequency, dB and,
// where there is one, phase in degrees. Columns stand apart by tabs, spaces, commas
// or semicolons; numbers have a decimal point or a decimal comma; lines that do not
// begin with a number are comments. Frequencies may rise or fall, or be given in kHz
// by the heading; the curve rises. Equal rows count once.
//
// What could be read in two ways, or is no number, is refused with one line that
// names the place: nothing is guessed.
func ReadCurve(from io.Reader) (Curve, error) {
	lines, err := readLines(from)
	if err != nil {
		return Curve{}, err
	}
	var text curveText
	for i, line := range lines {
		if err := text.add(i+1, line); err != nil {
			return Curve{}, err
		}
	}
	return text.curve()
}

// row is one line of numbers.
type row struct {
	number int // of the line, from 1
	text   string
}

// curveText is a curve's text taken apart.
type curveText struct {
	rows    []row
	heading heading
	remarks []string
}

// add sorts one line in.
func (t *curveText) add(number int, line string) error {
	line = strings.TrimSpace(strings.ReplaceAll(line, "\u00a0", " "))
	switch {
	case line == "":
		return nil
	case beginsWithNumber(line):
		if len(t.rows) == maxCurvePoints {
			return fmt.Errorf("the curve has more than %d rows: choose the text file with the microphone's curve", maxCurvePoints)
		}
		t.rows = append(t.rows, row{number: number, text: withoutComment(line)})
		return nil
	}
	remark := strings.TrimFunc(strings.TrimLeftFunc(line, isMark), isQuote)
	if remark == "" {
		return nil
	}
	if h, ok := headingOf(remark); ok {
		if len(t.rows) > 0 && h.kHz && !t.heading.kHz {
			return fmt.Errorf("line %d is another heading in the midst of the curve: keep one curve a file", number)
		}
		t.heading = t.heading.and(h)
		return nil
	}
	t.remarks = append(t.remarks, remark)
	return nil
}

// isMark tells what may stand before a comment.
func isMark(r rune) bool { return strings.ContainsRune("*#;%!/\\'\"-=:|><", r) || unicode.IsSpace(r) }

func isQuote(r rune) bool { return r == '"' || r == '\'' || unicode.IsSpace(r) }

// beginsWithNumber tells a row of numbers from a comment.
func beginsWithNumber(line string) bool {
	rest := strings.TrimLeft(strings.ReplaceAll(line, "−", "-"), "\"'")
	if len(rest) > 0 && strings.ContainsRune("+-", rune(rest[0])) {
		rest = rest[1:]
	}
	if len(rest) > 0 && strings.ContainsRune(".,", rune(rest[0])) {
		rest = rest[1:]
	}
	if rest != "" && rest[0] >= '0' && rest[0] <= '9' {
		return true
	}
	switch strings.ToLower(strings.TrimLeft(firstWord(line), "+-")) {
	case "nan", "inf", "infinity":
		return true
	}
	return false
}

func firstWord(line string) string {
	if i := strings.IndexAny(line, " \t,;"); i >= 0 {
		return line[:i]
	}
	return line
}

// withoutComment cuts what stands behind a row as a comment.
func withoutComment(line string) string {
	for _, mark := range []string{"#", "//", "!", "*", "%"} {
		if i := strings.Index(line, mark); i > 0 {
			line = line[:i]
		}
	}
	return strings.TrimSpace(line)
}

// curve turns the rows into numbers, in order and without doubles.
func (t *curveText) curve() (Curve, error) {
	if len(t.rows) == 0 {
		return Curve{}, errors.New("there is no row of numbers in it: a curve has a frequency and a level in dB on each line")
	}
	points, err := t.points()
	if err != nil {
		return Curve{}, err
	}
	if points, err = ordered(points); err != nil {
		return Curve{}, err
	}
	var c Curve
	c.Sensitivity, c.Remarks = statedAmong(t.remarks)
	for _, p := range points {
		c.FrequencyHz = append(c.FrequencyHz, p.hz)
		c.MagnitudeDB = append(c.MagnitudeDB, p.db)
		if p.phased {
			c.PhaseDeg = append(c.PhaseDeg, p.deg)
		}
	}
	switch {
	case len(points) < 2:
		return Curve{}, errors.New("one point is no curve: two rows or more are needed")
	case points[len(points)-1].hz < leastTopHz:
		return Curve{}, fmt.Errorf("the curve ends at %g Hz: if its frequencies are in kHz, write kHz into its heading; if it has thousands separators, take them out", points[len(points)-1].hz)
	}
	return c, nil
}

// point is one row as numbers.
type point struct {
	number  int
	hz, db  float64
	deg     float64
	phased  bool
	grouped bool // its frequency could have a thousands separator
}

// check refuses what no response holds.
func (p point) check() error {
	switch {
	case !(p.hz > 0 && p.hz <= highestHz):
		return fmt.Errorf("line %d: %g Hz is no frequency for a curve: take that row out", p.number, p.hz)
	case !(math.Abs(p.db) <= highestDB):
		return fmt.Errorf("line %d: %g is no level in dB for a curve: correct that row or take it out", p.number, p.db)
	case !(math.Abs(p.deg) <= highestTurn):
		return fmt.Errorf("line %d: %g is no phase in degrees: correct that row or take it out", p.number, p.deg)
	}
	return nil
}

// ordered sorts points by frequency and drops rows that say the same twice.
func ordered(points []point) ([]point, error) {
	rising := slices.IsSortedFunc(points, byFrequency)
	falling := slices.IsSortedFunc(points, func(a, b point) int { return byFrequency(b, a) })
	if !rising && !falling && slices.ContainsFunc(points, func(p point) bool { return p.grouped }) {
		i := slices.IndexFunc(points, func(p point) bool { return p.grouped })
		return nil, fmt.Errorf("line %d: the separator in the frequency can be one of thousands or of decimals, and the frequencies are in no order: take thousands separators out", points[i].number)
	}
	sorted := slices.Clone(points)
	slices.SortStableFunc(sorted, byFrequency)
	out := sorted[:1]
	for _, p := range sorted[1:] {
		last := out[len(out)-1]
		switch {
		case p.hz != last.hz:
			out = append(out, p)
		case p.db != last.db || p.deg != last.deg:
			return nil, fmt.Errorf("lines %d and %d say different things of %g Hz: keep one of them", last.number, p.number, p.hz)
		}
	}
	return out, nil
}

func byFrequency(a, b point) int {
	switch {
	case a.hz < b.hz:
		return -1
	case a.hz > b.hz:
		return 1
	}
	return 0
}
