package chart

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"
	"strings"
)

// WriteCSV writes what is seen of a chart (RFC 4180, plain decimal points): the
// visible traces within the horizontal axis, one row for each X that occurs; of a band
// both edges. A cell without a value is empty. Where a range is not valid, a last
// column says why. Of a map or a surface it writes the levels alone, with a column for
// each of the rows of the grid that is seen.
func WriteCSV(w io.Writer, c Chart) error {
	switch {
	case c.Map != nil:
		return writeGridCSV(w, c, &c.Map.Grid, c.Y)
	case c.Surface != nil:
		return writeGridCSV(w, c, &c.Surface.Grid, c.Surface.Depth)
	}
	var traces []Trace
	header := []string{orElse(c.X.Label, "x")}
	for _, t := range c.Traces {
		if t.Hidden {
			continue
		}
		for _, column := range t.columns() {
			traces = append(traces, column)
			header = append(header, strings.TrimSpace(column.Name+" "+c.unitOf(t)))
		}
	}
	reasons := slices.ContainsFunc(c.Shades, func(s Shade) bool { return !s.Window })
	if reasons {
		header = append(header, "not valid")
	}
	out := csv.NewWriter(w)
	if err := out.Write(header); err != nil {
		return err
	}
	next := make([]int, len(traces))
	for _, x := range c.everyX(traces) {
		row := []string{strconv.FormatFloat(x, 'g', -1, 64)}
		for i := range traces {
			row = append(row, cell(&traces[i], &next[i], x))
		}
		if reasons {
			row = append(row, c.reason(x))
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// columns is t as one column, or the two of a band.
func (t *Trace) columns() []Trace {
	if t.Low == nil {
		return []Trace{*t}
	}
	high, low := t.highEdge(), t.lowEdge()
	high.Name, low.Name = t.Name+", upper edge,", t.Name+", lower edge,"
	return []Trace{high, low}
}

func orElse(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

func (c Chart) unitOf(t Trace) string {
	a := c.axisOf(&t)
	return orElse(a.Label, a.Unit)
}

// everyX is each X within the axis at which some trace has a value, ascending.
func (c Chart) everyX(traces []Trace) []float64 {
	lo, hi := c.X.Limits()
	var xs []float64
	for _, t := range traces {
		for i := range min(len(t.X), len(t.Y)) {
			if t.X[i] >= lo && t.X[i] <= hi && finite(t.Y[i]) {
				xs = append(xs, t.X[i])
			}
		}
	}
	slices.Sort(xs)
	return slices.Compact(xs)
}

// cell is the value of t at exactly x, searched from next on.
func cell(t *Trace, next *int, x float64) string {
	n := min(len(t.X), len(t.Y))
	for *next < n && !(t.X[*next] >= x) {
		*next++
	}
	for i := *next; i < n && t.X[i] == x; i++ {
		if finite(t.Y[i]) {
			return strconv.FormatFloat(t.Y[i], 'g', -1, 64)
		}
	}
	return ""
}

// reason says why x is not valid; empty where it is.
func (c Chart) reason(x float64) string {
	for _, s := range c.Shades {
		if !s.Window && x >= s.From && x < s.To {
			return s.Why
		}
	}
	return ""
}
