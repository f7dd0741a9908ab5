package chart

import "math"

// capsule is a line with round ends, running to the right: all points nearer to it
// than reach. A pixel's coverage falls from 1 to 0 over the last pixel of reach.
type capsule struct {
	ax, ay, dx, dy float32 // where it starts, and from there to its end; dx ≥ 0
	length         float32
	reach          float32
}

// cover adds one column of pixels, whose centres are at cx, to its part of the
// mask. It returns the rows that it may have touched, the last excluded.
func (c *capsule) cover(mask []uint8, cx float32) (top, end int) {
	vx := cx - c.ax
	from, to := c.sides(vx, len(mask))
	top, end = len(mask), 0
	if from < to {
		c.body(mask[from:to], vx, float32(from)+0.5-c.ay)
		top, end = from, to
	}
	for _, tip := range [2][2]float32{{vx, c.ay}, {vx - c.dx, c.ay + c.dy}} {
		first, last := c.tipRows(tip[0], tip[1], len(mask))
		if first >= last {
			continue
		}
		top, end = min(top, first), max(end, last)
		// beside the line the body is nearer than the tip
		c.tip(mask, first, min(last, max(from, first)), tip[0], tip[1])
		c.tip(mask, max(first, min(to, last)), last, tip[0], tip[1])
	}
	return top, end
}

// sides gives the rows whose centres lie beside the line, neither before its start
// nor after its end, and within reach of it.
func (c *capsule) sides(vx float32, rows int) (from, to int) {
	if c.length == 0 {
		return 0, 0
	}
	lo, hi := float32(0), float32(rows)
	narrow := func(a, b float32) { lo, hi = max(lo, min(a, b)), min(hi, max(a, b)) }
	switch {
	case c.dy != 0:
		start := c.ay - vx*c.dx/c.dy
		narrow(start, start+c.length*c.length/c.dy)
	case vx < 0 || vx > c.dx:
		return 0, 0
	}
	switch {
	case c.dx != 0:
		middle, half := c.ay+vx*c.dy/c.dx, c.reach*c.length/c.dx
		narrow(middle-half, middle+half)
	case vx <= -c.reach || vx >= c.reach:
		return 0, 0
	}
	return int(lo + 0.5), int(hi + 0.5)
}

// body covers rows beside the line: the distance grows evenly from row to row.
func (c *capsule) body(mask []uint8, vx, vy float32) {
	d := (vx*c.dy - vy*c.dx) / c.length * 255
	step := c.dx / c.length * 255
	reach := c.reach*255 + 0.5
	if step == 0 {
		raiseAll(mask, uint8(max(min(reach-max(d, -d), 255), 0)))
		return
	}
	for y := range mask {
		cover := reach - d
		if d < 0 {
			cover = reach + d
		}
		d -= step
		cover = min(cover, 255)
		if v := uint8(max(cover, 0)); v > mask[y] {
			mask[y] = v
		}
	}
}

// raiseAll is body for an upright line.
func raiseAll(mask []uint8, v uint8) {
	for y, m := range mask {
		if v > m {
			mask[y] = v
		}
	}
}

// tipRows gives the rows of a column that the disc around one end touches; vx is
// from the end to the column.
func (c *capsule) tipRows(vx, cy float32, rows int) (from, to int) {
	room := c.reach*c.reach - vx*vx
	if room <= 0 {
		return 0, 0
	}
	half := float32(math.Sqrt(float64(room)))
	return max(int(cy-half+0.5), 0), min(int(cy+half+0.5), rows)
}

// tip covers some rows of a column with the disc around one end.
func (c *capsule) tip(mask []uint8, from, to int, vx, cy float32) {
	whole := (c.reach - 1) * max(c.reach-1, 0) // square of the distance that is covered whole
	for y := from; y < to; y++ {
		vy := float32(y) + 0.5 - cy
		square := vx*vx + vy*vy
		if square <= whole {
			mask[y] = 255
			continue
		}
		cover := min(c.reach-float32(math.Sqrt(float64(square))), 1)
		if v := uint8(max(cover, 0)*255 + 0.5); v > mask[y] {
			mask[y] = v
		}
	}
}
