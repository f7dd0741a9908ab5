package chart

import "math"

// Surface draws a grid of levels as slices one behind the other, each hiding what is
// behind it. The horizontal axis of the chart runs along the front, its left axis is
// the level of each slice, and Depth runs from the back (its lower end) to the front.
// What lies below the left axis, or is not known, is cut out. Traces, marks and the
// right axis of the chart are not drawn.
type Surface struct {
	Grid
	Depth Axis // of the rows: "ms" or "periods"
	Color int  // place in the palette of the slices
}

// slant is how far the back of a surface lies from its front: so much to the right
// and up. The zero value is a flat chart.
type slant struct {
	right, up float64
	depth     scale // from 1 at the back to 0 at the front
}

// Parts of the plot that the depth of a surface takes.
const (
	slantRight = 0.13
	slantUp    = 0.42
)

func (c Chart) slantOf(plot Rect) slant {
	if c.Surface == nil {
		return slant{}
	}
	return slant{plot.Dx() * slantRight, plot.Dy() * slantUp, newScale(c.Surface.Depth, 1, 0)}
}

// times is s on a plot of so many pixels to the unit.
func (s slant) times(k float64) slant {
	s.right, s.up = s.right*k, s.up*k
	return s
}

// back is the point at a share of the depth behind v.
func (s slant) back(v vertex, share float64) vertex {
	return vertex{v.x + share*s.right, v.y - share*s.up}
}

// slicer lays the slices of a surface out, reusing its buffers.
type slicer struct {
	x, y  scale // of the front
	slant slant
	unit  float64 // width of a column in positions
	curve curve
	parts [2][]vertex
}

// Least distance of the feet of two slices, in columns.
const leastSlices = 2

// shown gives the rows of a surface from the back to the front, leaving out those
// outside of its depth or too close to one already chosen; each with its share of
// the depth.
func (s *slicer) shown(f *Surface, each func(row int, share float64)) {
	foot := math.Inf(1)
	for row := range f.rows() {
		share := s.slant.depth.at(f.Y[row])
		if !(share >= -1e-9 && share <= 1+1e-9) {
			continue
		}
		if at := s.y.p0 - share*s.slant.up; foot > 1e300 || at-foot >= leastSlices*s.unit {
			foot = at
			each(row, share)
		}
	}
}

// slice is the line of one row: decimated, and cut at the ends of the axis and at the
// foot, which is the position of its lowest level. Gaps are NaN. It is valid until
// the next call.
func (s *slicer) slice(f *Surface, row int, share float64) (points []vertex, foot float64) {
	x, y := s.x, s.y
	x.p0, x.p1 = x.p0+share*s.slant.right, x.p1+share*s.slant.right
	y.p0, y.p1 = y.p0-share*s.slant.up, y.p1-share*s.slant.up
	t := Trace{X: f.X, Y: f.Level[row]}
	points = s.curve.trace(&t, x, y, s.unit)
	s.parts[0] = half{x: 1, c: -x.p0}.cut(s.parts[0][:0], points)
	s.parts[1] = half{x: -1, c: x.p1}.cut(s.parts[1][:0], s.parts[0])
	s.parts[0] = half{y: -1, c: y.p0}.cut(s.parts[0][:0], s.parts[1])
	return s.parts[0], y.p0
}

// half is the side of a line on which x·p.x + y·p.y + c is not negative.
type half struct{ x, y, c float64 }

func (h half) inside(p vertex) float64 { return h.x*p.x + h.y*p.y + h.c }

// cut appends the parts of a line that lie on the side, with the points at which it
// crosses; a part is divided from the next by NaN.
func (h half) cut(dst, points []vertex) []vertex {
	lastIn := math.NaN()
	for i, p := range points {
		in := h.inside(p)
		if lastIn*in < 0 {
			share := lastIn / (lastIn - in)
			q := points[i-1]
			dst = append(dst, vertex{q.x + share*(p.x-q.x), q.y + share*(p.y-q.y)})
		}
		switch {
		case in >= 0:
			dst = append(dst, p)
		case len(dst) > 0 && dst[len(dst)-1].x == dst[len(dst)-1].x:
			dst = append(dst, lifted())
		}
		lastIn = in
	}
	return dst
}
