package chart

import "image/color"

// Cursor is a cursor that is part of a chart, with the values of its lines beside
// them: for paper and pictures. A window draws its own above the chart, with Labels.
type Cursor struct {
	X     float64
	Names bool // the names of the traces before their values
}

// boxAlpha is how much of the card covers the curves under a label, of 255.
const boxAlpha = 0xE8

// drawCursor draws the line of the cursor and the labels of the chart.
func (s sketch) drawCursor() {
	lo, hi := s.chart.X.Limits()
	cursor := s.chart.Cursor
	if cursor == nil || !(cursor.X >= lo && cursor.X <= hi) {
		return
	}
	x := s.x.at(cursor.X)
	line := cursorLine(s.layout, x)
	if len(line) == 2 {
		s.rule(x, line[1].y, x, line[0].y, 1, s.theme.Cursor)
	} else {
		s.stroke(line, s.thickness, nil, s.theme.Cursor)
	}
	labels := s.chart.labels(s.layout, cursor.X, cursor.Names, func(t string) float64 { return s.measure(t, labelFace) })
	for _, l := range labels {
		s.leader(l, x, s.theme.TraceColor(s.chart.Traces[l.Trace].Color))
	}
	for _, l := range labels {
		s.label(l, s.theme.TraceColor(s.chart.Traces[l.Trace].Color))
	}
}

// leader joins the curve at the cursor with the nearer side of its label.
func (s sketch) leader(l Label, x float64, c color.NRGBA) {
	side := l.Box.X0
	if l.Box.X0 < x {
		side = l.Box.X1
	}
	s.stroke([]vertex{{x, l.Y}, {side, (l.Box.Y0 + l.Box.Y1) / 2}}, s.thickness, nil, c)
	s.stroke([]vertex{{x, l.Y}, {x, l.Y}}, 5*s.thickness, nil, c)
}

// label sets a strip of the trace's colour and the text on a veil of the card.
func (s sketch) label(l Label, c color.NRGBA) {
	const drop = 12 // from the top of a box to the baseline
	r := l.Box
	s.fill(Rect{r.X0, r.Y0 + 1, r.X1, r.Y1 - 1}, translucent(s.theme.Card, boxAlpha))
	s.fill(Rect{r.X0, r.Y0 + 1, r.X0 + labelStrip, r.Y1 - 1}, c)
	s.text(r.X0+LabelTextX, r.Y0+drop, l.Text, labelFace, s.theme.Ink)
}
