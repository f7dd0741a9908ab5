package chart

import (
	"image"
	"image/color"
	"image/draw"
	"math"
)

// rasterPen draws on a picture with so many pixels to the unit.
type rasterPen struct {
	dst    *image.RGBA
	scale  float64
	faces  *[faceCount]setFace
	brush  *brush
	points []vertex
}

func (p *rasterPen) px(v float64) int { return int(math.Floor(v*p.scale + 0.5)) }

func (p *rasterPen) fill(r Rect, c color.NRGBA) {
	area := image.Rect(p.px(r.X0), p.px(r.Y0), p.px(r.X1), p.px(r.Y1)).Intersect(p.dst.Rect)
	if c.A == 255 {
		draw.Draw(p.dst, area, image.NewUniform(c), image.Point{}, draw.Src)
		return
	}
	draw.Draw(p.dst, area, image.NewUniform(c), image.Point{}, draw.Over)
}

// rule covers whole pixels, so that hairlines stay sharp.
func (p *rasterPen) rule(x0, y0, x1, y1, width float64, c color.NRGBA) {
	thick := max(1, int(math.Round(width*p.scale)))
	r := image.Rect(p.px(x0), p.px(y0), p.px(x1), p.px(y1))
	if x0 == x1 {
		r.Min.X -= (thick - 1) / 2
		r.Max.X = r.Min.X + thick
		r.Max.Y++
	} else {
		r.Min.Y -= (thick - 1) / 2
		r.Max.Y = r.Min.Y + thick
		r.Max.X++
	}
	k := 1 / p.scale
	p.fill(Rect{float64(r.Min.X) * k, float64(r.Min.Y) * k, float64(r.Max.X) * k, float64(r.Max.Y) * k}, c)
}

func (p *rasterPen) stroke(points []vertex, width float64, dash []float64, c color.NRGBA) {
	p.points = p.points[:0]
	for _, v := range points {
		p.points = append(p.points, vertex{v.x * p.scale, v.y * p.scale})
	}
	p.brush.cover(around(p.points, width*p.scale).Intersect(p.dst.Rect))
	p.brush.path(p.points, width*p.scale, dash)
	p.brush.paint(p.dst, c)
}

// polygon fills a convex or concave outline with 4 × 4 samples to the pixel.
func (p *rasterPen) polygon(points []vertex, c color.NRGBA) {
	const n = 4
	p.points = p.points[:0]
	for _, v := range points {
		p.points = append(p.points, vertex{v.x * p.scale, v.y * p.scale})
	}
	area := around(p.points, 1).Intersect(p.dst.Rect)
	for y := area.Min.Y; y < area.Max.Y; y++ {
		for x := area.Min.X; x < area.Max.X; x++ {
			hits := 0
			for k := range n * n {
				sx, sy := float64(x)+(float64(k%n)+0.5)/n, float64(y)+(float64(k/n)+0.5)/n
				if inside(p.points, sx, sy) {
					hits++
				}
			}
			i := p.dst.PixOffset(x, y)
			blend(p.dst.Pix[i:i+4:i+4], c, uint32(hits*255/(n*n)))
		}
	}
}

// around is the pixels within reach of some points.
func around(points []vertex, reach float64) image.Rectangle {
	box := image.Rectangle{Min: image.Pt(math.MaxInt32, math.MaxInt32), Max: image.Pt(math.MinInt32, math.MinInt32)}
	for _, v := range points {
		box.Min.X, box.Min.Y = min(box.Min.X, int(v.x-reach-1)), min(box.Min.Y, int(v.y-reach-1))
		box.Max.X, box.Max.Y = max(box.Max.X, int(v.x+reach+2)), max(box.Max.Y, int(v.y+reach+2))
	}
	return box
}

// inside counts crossings of a ray to the right.
func inside(points []vertex, x, y float64) bool {
	in := false
	for i, a := range points {
		b := points[(i+1)%len(points)]
		if (a.y > y) != (b.y > y) && x < a.x+(y-a.y)/(b.y-a.y)*(b.x-a.x) {
			in = !in
		}
	}
	return in
}

func (p *rasterPen) text(x, y float64, s string, f face, c color.NRGBA) {
	p.faces[f].draw(p.dst, x*p.scale, math.Round(y*p.scale), s, c)
}

func (p *rasterPen) measure(s string, f face) float64 {
	return p.faces[f].width(s) / p.scale
}

// blend lays c over one pixel of a premultiplied picture, covering so much of it
// (0 to 255).
func blend(pix []uint8, c color.NRGBA, coverage uint32) {
	a := coverage
	if c.A != 255 {
		a = div255(coverage * uint32(c.A))
	}
	if a == 0 {
		return
	}
	if a == 255 {
		pix[0], pix[1], pix[2], pix[3] = c.R, c.G, c.B, 255
		return
	}
	rest := 255 - a
	pix[0] = uint8(div255(uint32(pix[0])*rest + uint32(c.R)*a))
	pix[1] = uint8(div255(uint32(pix[1])*rest + uint32(c.G)*a))
	pix[2] = uint8(div255(uint32(pix[2])*rest + uint32(c.B)*a))
	pix[3] = uint8(div255(uint32(pix[3])*rest + 255*a))
}

// div255 divides a product of two bytes by 255, rounded.
func div255(v uint32) uint32 {
	v += 128
	return (v + v>>8) >> 8
}

func (p *rasterPen) resolution() float64 { return p.scale }

// picture puts pixel on pixel, from the pixel on which r begins.
func (p *rasterPen) picture(r Rect, img *image.Paletted) {
	colors := make([]color.NRGBA, len(img.Palette))
	for i, c := range img.Palette {
		colors[i] = color.NRGBAModel.Convert(c).(color.NRGBA)
	}
	at := image.Pt(p.px(r.X0), p.px(r.Y0)).Sub(img.Rect.Min)
	area := img.Rect.Add(at).Intersect(p.dst.Rect)
	for y := area.Min.Y; y < area.Max.Y; y++ {
		src := img.Pix[img.PixOffset(area.Min.X-at.X, y-at.Y):]
		i := p.dst.PixOffset(area.Min.X, y)
		for _, v := range src[:area.Dx()] {
			if c := colors[v]; c.A == 255 {
				pix := p.dst.Pix[i : i+4 : i+4]
				pix[0], pix[1], pix[2], pix[3] = c.R, c.G, c.B, 255
			}
			i += 4
		}
	}
}
