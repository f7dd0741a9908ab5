package chart

import (
	"image/color"
	"math"
)

// tint is the colour laid over a shaded range.
func (s sketch) tint(shade Shade) color.NRGBA {
	if shade.Window {
		return s.theme.Window
	}
	return s.theme.Invalid
}

// shadeRect is the visible part of a shaded range; false where there is none.
func (s sketch) shadeRect(shade Shade) (Rect, bool) {
	lo, hi := s.chart.X.Limits()
	from, to := math.Max(shade.From, lo), math.Min(shade.To, hi)
	if !(from < to) {
		return Rect{}, false
	}
	return Rect{s.x.at(from), s.plot.Y0, s.x.at(to), s.plot.Y1}, true
}

// explain sets the reason of a shade at the foot of it, and draws the edges of a
// window.
func (s sketch) explain(shade Shade) {
	r, ok := s.shadeRect(shade)
	if !ok {
		return
	}
	if shade.Window {
		s.edges(shade)
	}
	if shade.Why == "" {
		return
	}
	w := s.measure(shade.Why, labelFace)
	s.text(s.besideEdge(r, w), r.Y1-9, shade.Why, labelFace, s.theme.Second)
}

// besideEdge finds room for a text of width w: within the shade at its inner edge,
// or outside beside that edge where the shade is too narrow.
func (s sketch) besideEdge(r Rect, w float64) float64 {
	const gap = 7
	low := r.X0 <= s.plot.X0+1 // the shade begins at the left end of the axis
	inside := r.Dx() >= w+2*gap
	switch {
	case inside && low:
		return r.X1 - gap - w
	case inside:
		return r.X0 + gap
	case low:
		return math.Min(r.X1+gap, s.plot.X1-w)
	}
	return math.Max(r.X0-gap-w, s.plot.X0)
}

// edges draws the two ends of a window that lie within the axis.
func (s sketch) edges(shade Shade) {
	lo, hi := s.chart.X.Limits()
	for _, v := range [...]float64{shade.From, shade.To} {
		if v >= lo && v <= hi {
			x := s.x.at(v)
			s.rule(x, s.plot.Y0, x, s.plot.Y1, 1.5, s.theme.Accent)
		}
	}
}

// mark draws a small triangle at the foot of the plot and its word beside it, at
// the left where the right has no room.
func (s sketch) mark(m Mark) {
	lo, hi := s.chart.X.Limits()
	if !(m.X >= lo && m.X <= hi) {
		return
	}
	const half, gap = 5, 9
	x, y := s.x.at(m.X), s.plot.Y1
	s.polygon([]vertex{{x, y - 3}, {x + half, y + 5}, {x - half, y + 5}}, s.theme.Remark)
	w := s.measure(m.Text, labelFace)
	at := x + gap
	if at+w > s.plot.X1 {
		at = math.Max(x-gap-w, s.plot.X0)
	}
	s.text(at, y-5, m.Text, labelFace, s.theme.Remark)
}

// fillAlpha is how much of its colour a filled trace carries, of 255.
const fillAlpha = 0x1E

func translucent(c color.NRGBA, alpha uint8) color.NRGBA {
	c.A = alpha
	return c
}
