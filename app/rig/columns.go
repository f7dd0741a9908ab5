package rig

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// points turns the rows into numbers.
func (t *curveText) points() ([]point, error) {
	c, err := t.columns()
	if err != nil {
		return nil, err
	}
	points := make([]point, len(t.rows))
	count := 0
	for i, r := range t.rows {
		fields := c.split(r.text)
		if i == 0 {
			count = len(fields)
		}
		switch {
		case len(fields) < 2 || len(fields) > 3:
			return nil, fmt.Errorf("line %d has %d columns: a curve has frequency, dB and perhaps phase", r.number, len(fields))
		case len(fields) != count:
			return nil, fmt.Errorf("line %d has %d columns and the lines before it have %d: give phase in all rows or in none", r.number, len(fields), count)
		case count == 3 && t.heading.named && !t.heading.phase:
			return nil, fmt.Errorf("line %d: the heading names no phase for the third column: take that column out, or name it", r.number)
		}
		if points[i], err = t.point(r.number, fields, c); err != nil {
			return nil, err
		}
	}
	return points, nil
}

// point turns the fields of one row into numbers.
func (t *curveText) point(number int, fields []string, c columns) (point, error) {
	p := point{number: number, phased: len(fields) == 3, grouped: c.grouped.MatchString(fields[0])}
	into := []*float64{&p.hz, &p.db, &p.deg}
	for i, text := range fields {
		v, ok := c.number(text, i == 0 && t.heading.kHz)
		if !ok {
			return p, fmt.Errorf("line %d: %q is not a number: correct that row or take it out", number, text)
		}
		*into[i] = v
	}
	if t.heading.radians && p.phased {
		p.deg *= 180 / math.Pi
	}
	return p, p.check()
}

// columns is how the rows of a text are to be read.
type columns struct {
	separator    string // ";", "," or " " for any blanks
	decimalComma bool

	plain   *regexp.Regexp // a number
	grouped *regexp.Regexp // what could be a whole number with thousands separators
	unit    *regexp.Regexp // behind a number
}

func newColumns() columns {
	return columns{
		plain:   regexp.MustCompile(`^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$`),
		grouped: regexp.MustCompile(`^\d{1,3}([.,]\d{3})+$`),
		unit:    regexp.MustCompile(`(?i)\s*(hz|db|deg|degrees|°)$`),
	}
}

// columns finds out how the rows are to be read, and refuses what can be read in
// two ways.
func (t *curveText) columns() (columns, error) {
	c := newColumns()
	any := func(mark string) bool {
		for _, r := range t.rows {
			if strings.Contains(r.text, mark) {
				return true
			}
		}
		return false
	}
	t.unquote()
	switch {
	case any(";"):
		c.separator = ";"
	case t.commaAndBlank():
		c.separator = ";"
	case any(" ") || any("\t"):
		c.separator = " "
	case any(",") && !any(".") && t.thirdByComma():
		return c, fmt.Errorf("line %d: commas stand between columns and perhaps in numbers, which cannot be told apart: put semicolons between the columns", t.rows[0].number)
	default:
		c.separator = ","
		return c, nil
	}
	c.decimalComma = any(",")
	if c.decimalComma && any(".") {
		return c, fmt.Errorf("line %d: numbers have points and commas, so that decimals and thousands cannot be told apart: take thousands separators out", t.firstWith(",").number)
	}
	return c, nil
}

// unquote takes quotation marks off fields.
func (t *curveText) unquote() {
	for i, r := range t.rows {
		if strings.Contains(r.text, `"`) {
			t.rows[i].text = strings.ReplaceAll(strings.ReplaceAll(r.text, `","`, ";"), `"`, "")
		}
	}
}

// commaAndBlank turns ", " between columns into semicolons where it stands in every
// row.
func (t *curveText) commaAndBlank() bool {
	apart := regexp.MustCompile(`\s*,\s+|\s+,\s*`)
	changed := make([]string, len(t.rows))
	for i, r := range t.rows {
		if changed[i] = apart.ReplaceAllString(r.text, ";"); changed[i] == r.text {
			return false
		}
	}
	for i := range t.rows {
		t.rows[i].text = changed[i]
	}
	return true
}

// thirdByComma tells whether any row has two commas or more.
func (t *curveText) thirdByComma() bool {
	for _, r := range t.rows {
		if strings.Count(strings.TrimRight(r.text, ","), ",") > 1 {
			return true
		}
	}
	return false
}

// firstWith is the first row that holds a mark.
func (t *curveText) firstWith(mark string) row {
	for _, r := range t.rows {
		if strings.Contains(r.text, mark) {
			return r
		}
	}
	return t.rows[0]
}

// split takes a row apart. Units that stand behind a number and empty columns at the
// end are dropped.
func (c columns) split(text string) []string {
	var fields []string
	if c.separator == " " {
		for _, f := range strings.Fields(text) {
			if !isUnit(f) {
				fields = append(fields, f)
			}
		}
		return fields
	}
	for _, f := range strings.Split(strings.TrimRight(text, c.separator+" \t"), c.separator) {
		fields = append(fields, c.unit.ReplaceAllString(strings.TrimSpace(f), ""))
	}
	return fields
}

func isUnit(word string) bool {
	switch strings.ToLower(word) {
	case "hz", "db", "deg", "degrees", "°":
		return true
	}
	return false
}

// number reads one field; a frequency in kHz becomes one in Hz with no rounding of
// its own.
func (c columns) number(text string, kHz bool) (float64, bool) {
	text = strings.ReplaceAll(text, "−", "-")
	if c.decimalComma {
		text = strings.Replace(text, ",", ".", 1)
	}
	if !c.plain.MatchString(text) {
		return 0, false
	}
	scale := 1.0
	if kHz && !strings.ContainsAny(text, "eE") {
		text += "e3"
	} else if kHz {
		scale = 1000
	}
	v, err := strconv.ParseFloat(text, 64)
	return v * scale, err == nil
}
