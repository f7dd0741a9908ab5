package chart

import (
	"image"
	"math"
	"runtime"
)

// Plot draws one chart on pictures, again and again: the still parts are kept and
// the traces drawn anew, without allocation once it is warm. Positions are in units
// of 1/96 inch, y downwards from the upper left corner, whatever the scale.
//
// A Plot is not safe for concurrent use.
type Plot struct {
	// Legend adds the names of the traces under the title. Set it before SetChart.
	Legend bool

	theme  Theme
	chart  Chart
	w, h   int // pixels
	scale  float64
	layout layout
	area   image.Rectangle // plot area in pixels
	dashes [5][]float64

	fonts   typeset
	faces   [faceCount]setFace
	faced   float64     // the scale the faces were made for
	still   *image.RGBA // the cached axes
	isStill bool
	artists [2]artist
}

// NewPlot gives a plot in a theme, with no chart and no size yet.
func NewPlot(theme Theme) *Plot {
	p := &Plot{theme: theme, fonts: newTypeset(), dashes: dashes(), scale: 1, w: 1, h: 1}
	p.arrange()
	return p
}

// SetTheme changes the colours.
func (p *Plot) SetTheme(t Theme) {
	if t != p.theme {
		p.theme, p.isStill = t, false
	}
}

// Theme is the set of colours in use.
func (p *Plot) Theme() Theme { return p.theme }

// SetChart changes what is drawn. The slices of the chart are read at each drawing
// and not copied.
func (p *Plot) SetChart(c Chart) {
	p.chart = c
	p.arrange()
}

// Chart is what is drawn.
func (p *Plot) Chart() Chart { return p.chart }

// Layout sets the size of the picture in pixels, at least 1 × 1, and the count of
// pixels to the unit (1 on an ordinary screen, 2 on a fine one).
func (p *Plot) Layout(w, h int, scale float64) {
	if !(scale > 0) || math.IsInf(scale, 0) {
		scale = 1
	}
	w, h = max(w, 1), max(h, 1)
	if w == p.w && h == p.h && scale == p.scale {
		return
	}
	p.w, p.h, p.scale = w, h, scale
	p.arrange()
}

// arrange lays the chart out anew.
func (p *Plot) arrange() {
	if p.faced != p.scale {
		p.faces, p.faced = p.fonts.faces(p.scale), p.scale
	}
	sheet := Rect{0, 0, float64(p.w) / p.scale, float64(p.h) / p.scale}
	var legend []legendEntry
	if p.Legend {
		legend = p.chart.legendRows(sheet.Dx()-leftInset-rightInset, p.pen(nil).measure)
	}
	p.layout = p.chart.arrange(sheet, legend)
	p.snap()
	p.isStill = false
}

// snap moves the plot area to whole pixels.
func (p *Plot) snap() {
	r := &p.layout.plot
	for _, v := range [...]*float64{&r.X0, &r.Y0, &r.X1, &r.Y1} {
		*v = math.Round(*v*p.scale) / p.scale
	}
	p.layout.rescale(p.chart)
	px := func(v float64) int { return int(math.Round(v * p.scale)) }
	all := image.Rect(0, 0, p.w, p.h)
	p.area = image.Rect(px(r.X0), px(r.Y0), px(r.X1)+1, px(r.Y1)+1).Intersect(all)
}

func (p *Plot) pen(dst *image.RGBA) *rasterPen {
	return &rasterPen{dst: dst, scale: p.scale, faces: &p.faces, brush: &brush{}}
}

// Draw draws the whole chart on a picture of the size given to Layout. Axes are
// drawn again only after a change.
func (p *Plot) Draw(dst *image.RGBA) {
	if p.still == nil || p.still.Rect.Dx() != p.w || p.still.Rect.Dy() != p.h {
		p.still, p.isStill = image.NewRGBA(image.Rect(0, 0, p.w, p.h)), false
	}
	if !p.isStill {
		p.DrawAxes(p.still)
		p.isStill = true
	}
	copyPicture(dst, p.still)
	p.DrawTraces(dst)
	if p.chart.Cursor != nil {
		p.sketch(dst).drawCursor()
	}
}

// copyPicture copies row by row what both pictures have room for.
func copyPicture(dst, src *image.RGBA) {
	both := dst.Rect.Intersect(src.Rect)
	for y := both.Min.Y; y < both.Max.Y; y++ {
		i, j := dst.PixOffset(both.Min.X, y), src.PixOffset(both.Min.X, y)
		copy(dst.Pix[i:i+4*both.Dx()], src.Pix[j:j+4*both.Dx()])
	}
}

// DrawAxes draws ground, grid, numbers, titles, shades and marks.
func (p *Plot) DrawAxes(dst *image.RGBA) {
	p.sketch(dst).axes()
}

func (p *Plot) sketch(dst *image.RGBA) sketch {
	return sketch{pen: p.pen(dst), chart: p.chart, theme: p.theme, layout: p.layout, thickness: 1}
}

// DrawTraces draws the curves over what is on the picture: fills first, then lines
// in the order of the description, all cut to the plot area.
func (p *Plot) DrawTraces(dst *image.RGBA) {
	area := p.area.Intersect(dst.Rect)
	if area.Empty() {
		return
	}
	if runtime.GOMAXPROCS(0) == 1 || area.Dx() < 2 || p.chart.points() < manyPoints {
		p.artists[0].draw(p, dst, area, area)
		return
	}
	left, right := area, area
	left.Max.X = area.Min.X + area.Dx()/2
	right.Min.X = left.Max.X
	done := make(chan struct{})
	go func() {
		defer close(done)
		p.artists[1].draw(p, dst, area, right)
	}()
	p.artists[0].draw(p, dst, area, left)
	<-done
}

// manyPoints is from how many points on a second goroutine draws half of the columns.
const manyPoints = 40000

// points is how many points of traces and slices are drawn.
func (c *Chart) points() (count int) {
	if c.Surface != nil {
		return c.Surface.rows() * len(c.Surface.X)
	}
	for i := range c.Traces {
		if !c.Traces[i].Hidden {
			count += len(c.Traces[i].X)
		}
	}
	return count
}

// inPixels is s with its positions at the centres of pixels, where rules lie.
func (p *Plot) inPixels(s scale) scale {
	s.p0, s.p1 = s.p0*p.scale+0.5, s.p1*p.scale+0.5
	return s
}
