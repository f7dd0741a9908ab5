package chart

import (
	"image"
	"image/color"
	"math"
)

// filled tells whether a trace is an area and not a line.
func (t *Trace) filled() bool { return t.Fill || t.Low != nil }

// edge is one unbroken piece of a band: its upper and its lower edge over the same
// positions.
type edge struct{ upper, lower []vertex }

// edges lays the two edges of a band out on two scales. A point where either is not
// known is a gap.
func (t *Trace) edges(x, y scale) []edge {
	var pieces []edge
	var now edge
	end := func() {
		if len(now.upper) > 1 {
			pieces = append(pieces, now)
		}
		now = edge{}
	}
	for i := range min(len(t.X), len(t.Y), len(t.Low)) {
		high, low := vertex{x.at(t.X[i]), y.at(t.Y[i])}, vertex{x.at(t.X[i]), y.at(t.Low[i])}
		if high.x != high.x || high.y != high.y || low.y != low.y {
			end()
			continue
		}
		now.upper, now.lower = append(now.upper, within(high)), append(now.lower, within(low))
	}
	end()
	return pieces
}

func within(p vertex) vertex { return vertex{bounded(p.x), bounded(p.y)} }

// areas is what a band fills: the pieces between its edges, or with Outside those
// above and those below, up to the top and down to the foot of the plot. Areas of one
// group do not lie one above the other.
func (t *Trace) areas(pieces []edge, top, foot float64) [][]edge {
	if !t.Outside {
		return [][]edge{pieces}
	}
	var above, below []edge
	for _, e := range pieces {
		above = append(above, edge{level(e.upper, top), e.upper})
		below = append(below, edge{e.lower, level(e.lower, foot)})
	}
	return [][]edge{above, below}
}

// level is the line at y over some points.
func level(points []vertex, y float64) []vertex {
	out := make([]vertex, len(points))
	for i, p := range points {
		out[i] = vertex{p.x, y}
	}
	return out
}

// edged says whether the edges of a band are drawn.
func (t *Trace) edged() bool { return t.Low != nil && (t.Edge || t.Outside) }

// edgeWidth is the width of the edges of a band in units, less than that of a line.
func (t *Trace) edgeWidth() float64 {
	if t.Width > 0 {
		return t.Width
	}
	return 1.25
}

// lowEdge is the lower edge of a band as a line.
func (t *Trace) lowEdge() Trace {
	low := *t
	low.Y, low.Low, low.Fill = t.Low, nil, false
	return low
}

// highEdge is the upper edge of a band as a line.
func (t *Trace) highEdge() Trace {
	high := *t
	high.Low, high.Fill = nil, false
	return high
}

// outline goes along the upper edge and back along the lower one.
func (e edge) outline() []vertex {
	shape := append([]vertex(nil), e.upper...)
	for i := len(e.lower) - 1; i >= 0; i-- {
		shape = append(shape, e.lower[i])
	}
	return shape
}

// between fills a band, in pixels, with soft edges.
type between struct{ tops, feet []float64 }

// draw fills each column from the highest point of the upper edge in it to the
// lowest of the lower edge.
func (b *between) draw(dst *image.RGBA, area image.Rectangle, pieces []edge, c color.NRGBA) {
	b.tops, b.feet = cleared(b.tops, area.Dx()), cleared(b.feet, area.Dx())
	left := float64(area.Min.X)
	for _, e := range pieces {
		for i := 1; i < len(e.upper); i++ {
			raise(b.tops, vertex{e.upper[i-1].x - left, e.upper[i-1].y}, vertex{e.upper[i].x - left, e.upper[i].y})
			raise(b.feet, vertex{e.lower[i-1].x - left, -e.lower[i-1].y}, vertex{e.lower[i].x - left, -e.lower[i].y})
		}
	}
	for x, top := range b.tops {
		fillSpan(dst, area, area.Min.X+x, top, -b.feet[x], c)
	}
}

// cleared is a buffer of n columns with nothing in them.
func cleared(buffer []float64, n int) []float64 {
	if n > cap(buffer) {
		buffer = make([]float64, n)
	}
	buffer = buffer[:n]
	for i := range buffer {
		buffer[i] = math.Inf(1)
	}
	return buffer
}

// fillSpan fills one column from top to foot; each end covers its part of a pixel.
func fillSpan(dst *image.RGBA, area image.Rectangle, x int, top, foot float64, c color.NRGBA) {
	top, foot = math.Max(top, float64(area.Min.Y)), math.Min(foot, float64(area.Max.Y))
	if !(top < foot) {
		return
	}
	for y := int(top); y < area.Max.Y && float64(y) < foot; y++ {
		part := math.Min(foot, float64(y+1)) - math.Max(top, float64(y))
		i := dst.PixOffset(x, y)
		blend(dst.Pix[i:i+4:i+4], c, uint32(part*255+0.5))
	}
}
