package chart

import "math"

// usualWidth is the width of a trace in units where none is named.
const usualWidth = 1.75

func (t *Trace) width() float64 {
	if t.Width > 0 {
		return t.Width
	}
	return usualWidth
}

// curve turns a trace into a line in positions, reusing its buffer. Where several
// points fall on one pixel column it keeps the first, the lowest, the highest and
// the last, in their order, so that no peak is lost; a gap becomes a NaN point.
type curve struct {
	points []vertex
	column [4]vertex // first, lowest, highest, last of the column at hand
	order  [2]int    // when lowest and highest came
	count  int
	index  float64
	period float64 // of a wrapped quantity, in positions; 0: none
	unit   float64 // width of a column in positions
}

// trace lays t out on two scales with columns of the given width. The result is
// valid until the next call.
func (c *curve) trace(t *Trace, x, y scale, column float64) []vertex {
	c.points, c.count, c.unit = c.points[:0], 0, column
	c.period = 0
	if t.Wrap > 0 && !y.log {
		c.period = math.Abs(y.at(t.Wrap) - y.at(0))
	}
	for i := range min(len(t.X), len(t.Y)) {
		p := vertex{x.at(t.X[i]), y.at(t.Y[i])}
		if p.x != p.x || p.y != p.y {
			c.gap()
			continue
		}
		c.add(bounded(p))
	}
	c.flush()
	return c.points
}

// bounded keeps positions far outside within what arithmetic on pixels bears.
func bounded(p vertex) vertex {
	const far = 1e6
	return vertex{math.Min(math.Max(p.x, -far), far), math.Min(math.Max(p.y, -far), far)}
}

// add takes one point into its column.
func (c *curve) add(p vertex) {
	if index := math.Floor(p.x / c.unit); c.count > 0 && index != c.index {
		c.flush()
		c.index = index
	} else if c.count == 0 {
		c.index = index
	}
	if c.count == 0 {
		c.column = [4]vertex{p, p, p, p}
		c.order = [2]int{}
	}
	if p.y < c.column[1].y {
		c.column[1], c.order[0] = p, c.count
	}
	if p.y > c.column[2].y {
		c.column[2], c.order[1] = p, c.count
	}
	c.column[3] = p
	c.count++
}

// flush ends a column.
func (c *curve) flush() {
	switch {
	case c.count == 0:
		return
	case c.count <= 2:
		c.emit(c.column[0])
	default:
		c.emit(c.column[0])
		a, b := c.column[1], c.column[2]
		if c.order[0] > c.order[1] {
			a, b = b, a
		}
		c.emit(a)
		c.emit(b)
	}
	if c.count > 1 {
		c.emit(c.column[3])
	}
	c.count = 0
}

// gap lifts the line.
func (c *curve) gap() {
	c.flush()
	if n := len(c.points); n > 0 && c.points[n-1].x == c.points[n-1].x {
		c.points = append(c.points, lifted())
	}
}

// emit appends a point; a jump of more than half a period leaves through one edge
// and comes back through the other.
func (c *curve) emit(p vertex) {
	n := len(c.points)
	if n == 0 || c.points[n-1].x != c.points[n-1].x {
		c.points = append(c.points, p)
		return
	}
	last := c.points[n-1]
	if last == p {
		return
	}
	if jump := p.y - last.y; c.period > 0 && math.Abs(jump) > c.period/2 {
		turn := math.Copysign(c.period, jump)
		c.points = append(c.points, vertex{p.x, p.y - turn}, lifted(), vertex{last.x, last.y + turn})
	}
	c.points = append(c.points, p)
}

func lifted() vertex { return vertex{math.NaN(), math.NaN()} }
