package chart

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// Label is the value of one trace at a cursor and the place of its small box beside
// the curve, in units.
type Label struct {
	Trace int     // place among the traces of the chart
	Text  string  // "85.9 dB", or "Proto A  85.9 dB"
	Y     float64 // height of the curve at the cursor
	Box   Rect
}

// Distances of labels, in units.
const (
	labelHeight  = 16
	labelAir     = 5 // between the sides of a box and its text
	labelStrip   = 3 // the colour at its left
	labelGap     = 10
	labelNameMax = 130
)

// Labels gives the value of each visible line at x as labels beside the curves:
// right of the cursor, or left of it where the right has no room, in several columns
// where one does not hold them. No label overlaps another or leaves the plot; one
// that finds no room is left out, the last traces first. Text starts LabelTextX from
// the left of its box.
func (p *Plot) Labels(x float64, names bool) []Label {
	return p.chart.labels(p.layout, x, names, func(s string) float64 { return p.faces[labelFace].width(s) / p.scale })
}

// LabelTextX is where the text of a label starts in its box, in units.
const LabelTextX = labelStrip + labelAir

func (c Chart) labels(l layout, x float64, names bool, measure func(string) float64) []Label {
	lo, hi := c.X.Limits()
	if !(x >= lo && x <= hi) || c.Surface != nil {
		return nil
	}
	var out []Label
	widest := 0.0
	for i := range c.Traces {
		t := &c.Traces[i]
		v, ok := t.ValueAt(x, c.X.Log)
		at := l.scaleOf(t).at(v)
		if !ok || t.Hidden || t.filled() || !(at >= l.plot.Y0 && at <= l.plot.Y1) {
			continue
		}
		text := strings.TrimSpace(c.axisOf(t).Reading(v))
		if names && t.Name != "" {
			text = shortened(t.Name, labelNameMax, measure) + "  " + text
		}
		widest = math.Max(widest, measure(steady(text))+labelStrip+2*labelAir)
		out = append(out, Label{Trace: i, Text: text, Y: at})
	}
	return placeLabels(out, l.plot, l.x.at(x), widest)
}

// steady is text with its figures replaced by the widest, so that a box does not
// change its width as the value does.
func steady(text string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return '0'
		}
		return r
	}, text)
}

func (c Chart) axisOf(t *Trace) Axis {
	if t.Right && c.Y2 != nil {
		return *c.Y2
	}
	return c.Y
}

// placeLabels gives labels of one width their boxes beside a cursor at x.
func placeLabels(labels []Label, plot Rect, x, width float64) []Label {
	columns := labelColumns(plot, x, width)
	each := int(plot.Dy() / labelHeight)
	if len(columns)*each == 0 {
		return nil
	}
	labels = labels[:min(len(labels), len(columns)*each)]
	if need := (len(labels) + each - 1) / each; need < len(columns) {
		columns = columns[:need]
	}
	order := make([]int, len(labels))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(labels[a].Y, labels[b].Y) })
	for k, left := range columns {
		var members []int
		for i := k; i < len(order); i += len(columns) {
			members = append(members, order[i])
		}
		stack(labels, members, plot, left, width)
	}
	return labels
}

// stack spreads some labels over the height of the plot.
func stack(labels []Label, members []int, plot Rect, left, width float64) {
	wanted, sizes := make([]float64, len(members)), make([]float64, len(members))
	for i, m := range members {
		wanted[i], sizes[i] = labels[m].Y, labelHeight
	}
	places, _ := Spread(wanted, sizes, plot.Y0, plot.Y1)
	for i, at := range places {
		labels[members[i]].Box = Rect{left, at - labelHeight/2, left + width, at + labelHeight/2}
	}
}

// labelColumns is the left ends of the columns that have room beside a cursor: right
// and left of it in turn, from the nearest.
func labelColumns(plot Rect, x, width float64) []float64 {
	var out []float64
	for k := 0.0; k < 100; k++ {
		right := x + labelGap + k*(width+labelGap)
		left := x - (k+1)*(width+labelGap)
		fits := len(out)
		if right+width <= plot.X1 {
			out = append(out, right)
		}
		if left >= plot.X0 {
			out = append(out, left)
		}
		if len(out) == fits {
			break
		}
	}
	return out
}

// shortened is text cut to a width, ending with an ellipsis.
func shortened(text string, width float64, measure func(string) float64) string {
	if measure(text) <= width {
		return text
	}
	runes := []rune(text)
	for n := len(runes) - 1; n > 0; n-- {
		if short := string(runes[:n]) + "…"; measure(short) <= width {
			return short
		}
	}
	return ""
}
