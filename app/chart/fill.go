package chart

import (
	"image"
	"image/color"
	"math"
)

// under fills from a curve down to the foot of an area, in pixels, with a soft
// upper edge.
type under struct{ tops []float64 }

// draw fills below points; gaps stay empty, and where several points fall on one
// column the highest counts.
func (u *under) draw(dst *image.RGBA, area image.Rectangle, points []vertex, c color.NRGBA) {
	w := area.Dx()
	if w > len(u.tops) {
		u.tops = make([]float64, w)
	}
	tops := u.tops[:w]
	for i := range tops {
		tops[i] = math.Inf(1)
	}
	left := float64(area.Min.X)
	for i := 1; i < len(points); i++ {
		if p, q := points[i-1], points[i]; p.x == p.x && q.x == q.x {
			raise(tops, vertex{p.x - left, p.y}, vertex{q.x - left, q.y})
		}
	}
	for x, top := range tops {
		fillColumn(dst, area, area.Min.X+x, top, c)
	}
}

// raise lifts the tops of the columns whose centres lie under the line from p to q.
func raise(tops []float64, p, q vertex) {
	if p.x > q.x {
		p, q = q, p
	}
	first, last := max(int(math.Ceil(p.x-0.5)), 0), min(int(math.Floor(q.x-0.5)), len(tops)-1)
	for x := first; x <= last; x++ {
		y := math.Min(p.y, q.y)
		if q.x > p.x {
			y = p.y + (float64(x)+0.5-p.x)/(q.x-p.x)*(q.y-p.y)
		}
		tops[x] = math.Min(tops[x], y)
	}
	for _, v := range [...]vertex{p, q} {
		if x := int(math.Floor(v.x)); x >= 0 && x < len(tops) && !math.IsInf(tops[x], 1) {
			tops[x] = math.Min(tops[x], v.y)
		}
	}
}

func fillColumn(dst *image.RGBA, area image.Rectangle, x int, top float64, c color.NRGBA) {
	if !(top < float64(area.Max.Y)) {
		return
	}
	top = math.Max(top, float64(area.Min.Y))
	y := int(top)
	i := dst.PixOffset(x, y)
	blend(dst.Pix[i:i+4:i+4], c, uint32((float64(y+1)-top)*255+0.5))
	for y++; y < area.Max.Y; y++ {
		i += dst.Stride
		blend(dst.Pix[i:i+4:i+4], c, 255)
	}
}
