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

// dashed says whether t is a line with gaps.
func (t *Trace) dashed() bool {
	return !t.filled() && max(t.Dash, 0)%len(dashes()) != 0
}

// curve turns a trace into a line in positions, reusing its buffers. Three steps
// keep it short without a visible change:
//
//   - of the points that fall on one pixel column the first, lowest, highest and
//     last are kept, so that no peak is lost; where they are many and far apart the
//     column becomes an upright bar from the lowest to the highest, which is drawn
//     without dashes, since the many crossings that it stands for leave no gap;
//   - a wrapped quantity that jumps leaves through one edge and comes back through
//     the other;
//   - points that lie on a straight line within a small part of a pixel are left out.
//
// A gap becomes a NaN point.
type curve struct {
	points []vertex
	bars   []vertex // of a dashed trace: its bars, to be drawn without dashes
	apart  bool     // keep the bars out of points
	along  along
	unit   float64 // width of a column in positions
	period float64 // of a wrapped quantity, in positions; 0: none
	column column  // the column at hand
	bar    column  // the column before, where it became a bar
	straight
}

// column gathers the points that fall on one pixel column.
type column struct {
	index       float64
	count       int
	first, last vertex
	low, high   vertex
	lowFirst    bool // the lowest came before the highest
}

// trace lays t out on two scales with columns of the given width. The result is
// valid until the next call.
func (c *curve) trace(t *Trace, x, y scale, unit float64) []vertex {
	c.along.set(t.X, x)
	return c.over(t, c.along.at, y, unit)
}

// over is trace for points whose horizontal positions are known.
func (c *curve) over(t *Trace, xs []float64, y scale, unit float64) []vertex {
	*c = curve{points: c.points[:0], bars: c.bars[:0], apart: t.dashed(), along: c.along, unit: unit, straight: straight{slack: unit / 16}}
	if t.Wrap > 0 && !y.log {
		c.period = math.Abs(y.at(t.Wrap) - y.at(0))
	}
	slope := y.slope()
	for i, v := range t.Y[:min(len(xs), len(t.Y))] {
		p := vertex{xs[i], y.p0 + (v-y.lo)*slope}
		if y.log || v-v != 0 {
			p.y = y.at(v)
		}
		if p.x != p.x || p.y != p.y {
			c.gap()
			continue
		}
		c.add(vertex{p.x, bounded(p.y)})
	}
	c.flush()
	c.settle()
	return c.points
}

// bounded keeps positions far outside within what arithmetic on pixels bears.
func bounded(p float64) float64 {
	const far = 1e6
	switch {
	case p > far:
		return far
	case p < -far:
		return -far
	}
	return p
}

// along is the horizontal positions of some points. Traces that share their X, as
// those of a board do, share them.
type along struct{ at []float64 }

// set lays xs out on a scale.
func (a *along) set(xs []float64, s scale) {
	a.at = a.at[:0]
	for _, x := range xs {
		a.at = append(a.at, bounded(s.at(x)))
	}
}

// add takes one point into its column.
func (c *curve) add(p vertex) {
	k := &c.column
	if index := math.Floor(p.x / c.unit); k.count == 0 || index != k.index {
		c.flush()
		*k = column{index: index, first: p, low: p, high: p}
	}
	if p.y < k.low.y {
		k.low, k.lowFirst = p, false
	}
	if p.y > k.high.y {
		k.high, k.lowFirst = p, true
	}
	k.last = p
	k.count++
}

// flush ends a column.
func (c *curve) flush() {
	k := c.column
	c.column.count = 0
	if k.count == 0 {
		return
	}
	if k.count > 4 && k.high.y-k.low.y > 2*c.unit {
		c.upright(k)
		return
	}
	c.bar.count = 0
	from, to := k.extremes()
	for _, p := range [...]vertex{k.first, from, to, k.last} {
		c.emit(p)
	}
}

// extremes gives the lowest and the highest point in the order they came.
func (k *column) extremes() (from, to vertex) {
	if k.lowFirst {
		return k.low, k.high
	}
	return k.high, k.low
}

// upright draws a column as a bar. It is joined to the bar beside it only where
// the two do not overlap.
func (c *curve) upright(k column) {
	b := c.bar
	if b.count > 0 && b.index+1 == k.index && b.low.y <= k.high.y && k.low.y <= b.high.y {
		c.lift()
	} else {
		c.emit(k.first)
	}
	c.settle()
	from, to := k.extremes()
	middle := (k.index + 0.5) * c.unit
	c.bar = k
	if !c.apart {
		c.points = append(c.points, vertex{middle, from.y}, vertex{middle, to.y})
		return
	}
	c.bars = append(c.bars, vertex{middle, from.y}, vertex{middle, to.y}, lifted())
	c.lift()
	c.points = append(c.points, vertex{middle, to.y})
}

// gap lifts the line.
func (c *curve) gap() {
	c.flush()
	c.bar.count = 0
	c.lift()
}

// lift ends the piece at hand, if there is one.
func (c *curve) lift() {
	c.settle()
	if n := len(c.points); n > 0 && c.points[n-1].x == c.points[n-1].x {
		c.points = append(c.points, lifted())
	}
}

// emit appends a point, going round where a wrapped quantity jumps.
func (c *curve) emit(p vertex) {
	last, ok := c.end()
	if ok && last == p {
		return
	}
	if jump := p.y - last.y; ok && c.period > 0 && math.Abs(jump) > c.period/2 {
		turn := math.Copysign(c.period, jump)
		c.put(vertex{p.x, p.y - turn})
		c.lift()
		c.put(vertex{last.x, last.y + turn})
	}
	c.put(p)
}

// end is the point where the line now ends; false where it is lifted.
func (c *curve) end() (vertex, bool) {
	if c.waiting {
		return c.held, true
	}
	if n := len(c.points); n > 0 {
		return c.points[n-1], c.points[n-1].x == c.points[n-1].x
	}
	return vertex{}, false
}

// straight leaves out points on a straight line: from the last kept point it
// narrows the slopes that pass every later point within slack.
type straight struct {
	slack   float64
	held    vertex // the last point, not yet known to be needed
	waiting bool
	lo, hi  float64 // slopes allowed from the last kept point
}

// put appends a point or holds it back until it proves to be needed.
func (c *curve) put(p vertex) {
	n := len(c.points)
	if n == 0 || c.points[n-1].x != c.points[n-1].x {
		c.points = append(c.points, p)
		return
	}
	from := c.points[n-1]
	if c.waiting {
		if slope := (p.y - from.y) / (p.x - from.x); p.x <= c.held.x || slope < c.lo || slope > c.hi {
			from = c.held
			c.settle()
		}
	}
	c.hold(from, p)
}

// hold keeps p back and narrows the slopes from the last kept point.
func (c *curve) hold(from, p vertex) {
	dx := p.x - from.x
	if dx <= 0 {
		c.settle()
		c.points = append(c.points, p)
		return
	}
	lo, hi := (p.y-c.slack-from.y)/dx, (p.y+c.slack-from.y)/dx
	if c.waiting {
		lo, hi = math.Max(lo, c.lo), math.Min(hi, c.hi)
	}
	c.held, c.waiting, c.lo, c.hi = p, true, lo, hi
}

// settle keeps the point held back.
func (c *curve) settle() {
	if c.waiting {
		c.points = append(c.points, c.held)
		c.waiting = false
	}
}

func lifted() vertex { return vertex{math.NaN(), math.NaN()} }
