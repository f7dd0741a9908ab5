package chart

import (
	"image"
	"image/color"
	"math"
)

// sliceWidth is the width of the line of a slice in units.
const sliceWidth = 1.25

// sliceColor pales the slices towards the back.
func (t Theme) sliceColor(place int, share float64) color.NRGBA {
	const palest = 0.4
	part := palest * math.Min(math.Max(share, 0), 1)
	return mixture(t.Card, t.TraceColor(place), 1-part)
}

// mixture is so much of c on an opaque ground.
func mixture(ground, c color.NRGBA, part float64) color.NRGBA {
	mix := func(a, b uint8) uint8 { return uint8(math.Round(float64(a)*(1-part) + float64(b)*part)) }
	return color.NRGBA{mix(ground.R, c.R), mix(ground.G, c.G), mix(ground.B, c.B), 255}
}

// drawSurface draws the slices on a picture, from the back to the front.
func (a *artist) drawSurface() {
	s := &a.slicer
	s.x, s.y, s.slant, s.unit = a.inPixels(a.layout.x), a.inPixels(a.layout.y), a.layout.slant.times(a.scale), 1
	f := a.chart.Surface
	s.shown(f, func(row int, share float64) {
		points, foot := s.slice(f, row, share)
		a.fin.fill(a.dst, a.part, points, foot, a.theme.Card)
		a.brush.path(points, sliceWidth*a.scale, nil)
		a.brush.paint(a.dst, a.theme.sliceColor(f.Color, share))
	})
}

// fin fills the face of a slice in an opaque colour, in pixels, row by row.
type fin struct{ tops []float64 }

func (u *fin) fill(dst *image.RGBA, area image.Rectangle, points []vertex, foot float64, c color.NRGBA) {
	u.tops = cleared(u.tops, area.Dx())
	left, highest := float64(area.Min.X), math.Inf(1)
	for i := 1; i < len(points); i++ {
		if p, q := points[i-1], points[i]; p.x == p.x && q.x == q.x {
			raise(u.tops, vertex{p.x - left, p.y}, vertex{q.x - left, q.y})
			highest = math.Min(highest, math.Min(p.y, q.y))
		}
	}
	if math.IsInf(highest, 1) {
		return
	}
	end := min(int(foot+0.5), area.Max.Y)
	for y := max(int(highest), area.Min.Y); y < end; y++ {
		row := dst.Pix[dst.PixOffset(area.Min.X, y):]
		for x, middle := 0, float64(y)+0.5; x < len(u.tops); x++ {
			if u.tops[x] <= middle {
				pix := row[4*x : 4*x+4 : 4*x+4]
				pix[0], pix[1], pix[2], pix[3] = c.R, c.G, c.B, 255
			}
		}
	}
}

// drawSurfaceOn draws the slices with a paper pen.
func (c Chart) drawSurfaceOn(p pen, l layout, theme Theme) {
	s := slicer{x: l.x, y: l.y, slant: l.slant, unit: paperSlice}
	s.shown(c.Surface, func(row int, share float64) {
		points, foot := s.slice(c.Surface, row, share)
		if len(points) == 0 {
			return
		}
		fillPieces(p, points, foot, theme.Card)
		p.stroke(points, sliceWidth*paperWidth, nil, theme.sliceColor(c.Surface.Color, share))
	})
}

// paperSlice is the width of a column of a slice on paper, in units.
const paperSlice = 0.5
