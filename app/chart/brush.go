package chart

import (
	"image"
	"image/color"
	"math"
)

// brush strokes anti-aliased lines. How much of each pixel a trace covers follows
// from the distance of the pixel's centre to the line; the coverage of a whole
// trace is gathered in a mask, the greater value winning, and then blended once,
// so that joints and crossings of a line with itself are not painted twice.
//
// The mask is kept column by column, since a curve touches few pixels of each
// column. A brush allocates only when its area grows.
type brush struct {
	area image.Rectangle // in pixels of the picture
	mask []uint8         // coverage, column by column
	from int             // first column to be touched, from the left of the area
	to   int             // one after the last
	top  []int32         // first touched row of each column
	end  []int32         // one after the last; not above top: untouched
}

// cover sets the area that the brush may touch and clears it.
func (b *brush) cover(area image.Rectangle) {
	b.from, b.to = 0, area.Dx()
	if area == b.area {
		return
	}
	b.area = area
	w, h := area.Dx(), area.Dy()
	if w*h > len(b.mask) {
		b.mask = make([]uint8, w*h)
	}
	clear(b.mask)
	if w > len(b.top) {
		b.top, b.end = make([]int32, w), make([]int32, w)
	}
	for i := range b.top {
		b.top[i], b.end[i] = math.MaxInt32, 0
	}
}

// only keeps the brush to the columns of a part of its area. What it leaves there is
// the same as without.
func (b *brush) only(part image.Rectangle) {
	b.from, b.to = part.Min.X-b.area.Min.X, part.Max.X-b.area.Min.X
}

// path strokes a line through points in pixels of the picture; a point that is NaN
// lifts the brush. Dash lengths are in widths of the line.
func (b *brush) path(points []vertex, width float64, dash []float64) {
	walked := 0.0
	for i := 1; i < len(points); i++ {
		p, q := points[i-1], points[i]
		if p.x != p.x || q.x != q.x {
			continue
		}
		length := math.Hypot(q.x-p.x, q.y-p.y)
		p2, q2, skipped, ok := b.clip(p, q, width)
		if ok {
			if len(dash) == 0 {
				b.segment(p2, q2, width/2)
			} else {
				b.dashes(p2, q2, width, dash, walked+skipped*length)
			}
		}
		walked += length
	}
}

// clip cuts a line to the area, widened by the line's width (Liang and Barsky,
// 1984). skipped is the part of the line before its visible piece.
func (b *brush) clip(p, q vertex, margin float64) (vertex, vertex, float64, bool) {
	t0, t1 := 0.0, 1.0
	dx, dy := q.x-p.x, q.y-p.y
	edge := func(d, room float64) bool {
		if d == 0 {
			return room >= 0
		}
		t := room / d
		if d < 0 {
			t0 = math.Max(t0, t)
		} else {
			t1 = math.Min(t1, t)
		}
		return t0 <= t1
	}
	ok := edge(-dx, p.x-float64(b.area.Min.X)+margin) &&
		edge(dx, float64(b.area.Max.X)+margin-p.x) &&
		edge(-dy, p.y-float64(b.area.Min.Y)+margin) &&
		edge(dy, float64(b.area.Max.Y)+margin-p.y)
	return vertex{p.x + t0*dx, p.y + t0*dy}, vertex{p.x + t1*dx, p.y + t1*dy}, t0, ok
}

// dashes strokes the pieces of a line that its pattern leaves, starting so many
// pixels into the pattern.
func (b *brush) dashes(p, q vertex, width float64, dash []float64, walked float64) {
	length := math.Hypot(q.x-p.x, q.y-p.y)
	if length == 0 {
		return
	}
	period := 0.0
	for _, d := range dash {
		period += d * width
	}
	at := -math.Mod(walked, period)
	for i := 0; at < length; i = (i + 1) % len(dash) {
		next := at + dash[i]*width
		if i%2 == 0 && next > 0 {
			b.piece(p, q, length, at, next, width)
		}
		at = next
	}
}

// piece strokes the part of a line from one length along it to another, both
// drawn in by the round ends that the brush adds.
func (b *brush) piece(p, q vertex, length, from, to, width float64) {
	from, to = from+width/2, to-width/2
	from, to = math.Max(from, 0), math.Min(to, length)
	const slack = 1e-6 // a dot has no length left
	if from > to+slack {
		return
	}
	kx, ky := (q.x-p.x)/length, (q.y-p.y)/length
	b.segment(vertex{p.x + kx*from, p.y + ky*from}, vertex{p.x + kx*to, p.y + ky*to}, width/2)
}

// segment adds a straight line with round ends to the mask.
func (b *brush) segment(p, q vertex, radius float64) {
	if p.x > q.x {
		p, q = q, p
	}
	c := capsule{
		ax: float32(p.x - float64(b.area.Min.X)), ay: float32(p.y - float64(b.area.Min.Y)),
		dx: float32(q.x - p.x), dy: float32(q.y - p.y), reach: float32(radius) + 0.5,
	}
	c.length = float32(math.Hypot(q.x-p.x, q.y-p.y))
	first := max(int(c.ax-c.reach), b.from)
	last := min(int(c.ax+c.dx+c.reach), b.to-1)
	h := b.area.Dy()
	for x := first; x <= last; x++ {
		top, end := c.cover(b.mask[x*h:x*h+h], float32(x)+0.5)
		b.top[x], b.end[x] = min(b.top[x], int32(top)), max(b.end[x], int32(end))
	}
}

// paint blends what was stroked in one colour and clears it.
func (b *brush) paint(dst *image.RGBA, c color.NRGBA) {
	h := b.area.Dy()
	for x := b.from; x < b.to; x++ {
		top, end := int(b.top[x]), int(b.end[x])
		if top >= end {
			continue
		}
		b.top[x], b.end[x] = math.MaxInt32, 0
		mask := b.mask[x*h+top : x*h+end]
		i := dst.PixOffset(b.area.Min.X+x, b.area.Min.Y+top)
		paintColumn(dst.Pix[i:], dst.Stride, mask, c)
		clear(mask)
	}
}

// paintColumn is blend for one column of an opaque colour, written out because it
// takes half of the time of a drawing.
func paintColumn(pix []uint8, stride int, mask []uint8, c color.NRGBA) {
	r, g, b := uint32(c.R), uint32(c.G), uint32(c.B)
	for k, m := range mask {
		if m == 0 {
			continue
		}
		p := pix[k*stride : k*stride+4 : k*stride+4]
		if m == 255 {
			p[0], p[1], p[2], p[3] = c.R, c.G, c.B, 255
			continue
		}
		a, rest := uint32(m), 255-uint32(m)
		p[0] = uint8(div255(uint32(p[0])*rest + r*a))
		p[1] = uint8(div255(uint32(p[1])*rest + g*a))
		p[2] = uint8(div255(uint32(p[2])*rest + b*a))
		p[3] = uint8(div255(uint32(p[3])*rest + 255*a))
	}
}
