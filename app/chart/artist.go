package chart

import "image"

// artist draws the traces of a plot on some columns of its area, with tools that it
// keeps from one drawing to the next. Two of them may draw side by side: each follows
// all curves in whole, so that together they leave the pixels that one would.
type artist struct {
	*Plot
	dst  *image.RGBA
	part image.Rectangle // the columns to draw

	brush   brush
	curve   curve
	xs      along     // horizontal positions of shared
	shared  []float64 // the X of the last trace of this drawing
	under   under
	between between
	slicer  slicer
	fin     fin
}

// draw draws all traces of p. It only reads p.
func (a *artist) draw(p *Plot, dst *image.RGBA, area, part image.Rectangle) {
	a.Plot, a.dst, a.part = p, dst, part
	a.brush.cover(area)
	a.brush.only(part)
	if p.chart.Surface != nil {
		a.drawSurface()
		return
	}
	a.shared = nil // what it holds may have changed since
	x := p.inPixels(p.layout.x)
	for _, filled := range [...]bool{true, false} {
		for i := range p.chart.Traces {
			if t := &p.chart.Traces[i]; !t.Hidden && t.filled() == filled {
				a.drawTrace(t, x)
			}
		}
	}
}

func (a *artist) drawTrace(t *Trace, x scale) {
	c := a.theme.TraceColor(t.Color)
	y := a.inPixels(a.layout.scaleOf(t))
	if t.Low != nil {
		a.drawBand(t, x, y)
		return
	}
	points := a.curve.over(t, a.along(t.X, x), y, 1)
	if t.Fill {
		a.under.draw(a.dst, a.part, points, translucent(c, fillAlpha))
		return
	}
	a.brush.path(points, t.width()*a.scale, a.dashes[max(t.Dash, 0)%len(a.dashes)])
	a.brush.path(a.curve.bars, t.width()*a.scale, nil)
	a.brush.paint(a.dst, c)
}

// drawBand draws a trace with two edges.
func (a *artist) drawBand(t *Trace, x, y scale) {
	c := a.theme.TraceColor(t.Color)
	for _, pieces := range t.areas(t.edges(x, y), y.p1, y.p0) {
		a.between.draw(a.dst, a.part, pieces, translucent(c, fillAlpha))
		if t.Hatch == NoHatch {
			continue
		}
		for _, piece := range pieces {
			a.brush.path(t.Hatch.lines(piece.outline(), hatchSpacing*a.scale), hatchWidth*a.scale, nil)
		}
		a.brush.paint(a.dst, t.hatchColor(a.theme))
	}
	if !t.edged() {
		return
	}
	for _, line := range [...]Trace{t.highEdge(), t.lowEdge()} {
		points := a.curve.over(&line, a.along(t.X, x), y, 1)
		a.brush.path(points, t.edgeWidth()*a.scale, dashOf(t.Dash))
		a.brush.path(a.curve.bars, t.edgeWidth()*a.scale, nil)
		a.brush.paint(a.dst, c)
	}
}

// along is the positions of xs, kept from one trace of a drawing to the next where
// both have the same ones.
func (a *artist) along(xs []float64, x scale) []float64 {
	same := len(xs) > 0 && len(xs) == len(a.shared) && &xs[0] == &a.shared[0]
	if !same {
		a.xs.set(xs, x)
		a.shared = xs
	}
	return a.xs.at
}
