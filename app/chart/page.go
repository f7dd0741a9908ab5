package chart

import (
	"image/color"
	"math"
)

// Page is a sheet of paper for charts, one below the other, or a picture of so many
// pixels.
type Page struct {
	WidthMM    float64 // 0: 210
	HeightMM   float64 // 0: as tall as the charts need
	DPI        float64 // of a PNG; 0: 192
	Heading    string  // one line above the charts; empty: none
	FreeAspect bool    // do not choose 25 dB or 50 dB to a decade where a chart names none

	// A picture: where both are above 0 they stand in the place of the measures above,
	// the charts fill the whole height, and their aspect is free. A PNG has Scale
	// pixels to each of these (0: 1; 2: twice as fine); an SVG or PDF has their size at
	// 96 to the inch.
	WidthPX, HeightPX int
	Scale             float64
}

// isPicture says whether the page is measured in pixels.
func (g Page) isPicture() bool { return g.WidthPX > 0 && g.HeightPX > 0 }

// pixelsPerUnit is the resolution of a PNG.
func (g Page) pixelsPerUnit() float64 {
	switch {
	case !g.isPicture():
		return g.dpi() / 96
	case g.Scale > 0 && !math.IsInf(g.Scale, 0):
		return g.Scale
	}
	return 1
}

// margin is the space around the charts, in units.
func (g Page) margin() float64 {
	if g.isPicture() {
		return 0
	}
	return marginMM / mmPerUnit
}

// height is that of the page in units; 0 where the charts decide.
func (g Page) height() float64 {
	switch {
	case g.isPicture():
		return float64(g.HeightPX)
	case g.HeightMM > 0:
		return g.HeightMM / mmPerUnit
	}
	return 0
}

const (
	mmPerUnit   = 25.4 / 96
	marginMM    = 10
	headingRoom = 40 // units
	chartGap    = 14
	freeHeight  = 250 // of a chart that fills its space
	bareHeight  = 180 // of one without numbers on its left axis
	tallest     = 0.75

	surfaceHeight = 400
)

// placed is a chart and its place on the page, in units.
type placed struct {
	chart Chart
	sheet Rect
}

func (g Page) dpi() float64 {
	if g.DPI > 0 && !math.IsInf(g.DPI, 0) {
		return math.Min(g.DPI, 1200)
	}
	return 192
}

func (g Page) width() float64 {
	if g.isPicture() {
		return float64(g.WidthPX)
	}
	if g.WidthMM > 0 && !math.IsInf(g.WidthMM, 0) {
		return math.Max(g.WidthMM, 60) / mmPerUnit
	}
	return 210 / mmPerUnit
}

// title names the page in the properties of a file.
func (g Page) title(charts []Chart) string {
	if g.Heading == "" && len(charts) > 0 {
		return charts[0].Title
	}
	return g.Heading
}

// place sets the charts one below the other and gives the size of the page. Where
// the page has a height that they exceed, levels take 50 dB to a decade, and then
// all become less tall; on a picture they also grow to fill it.
func (g Page) place(charts []Chart, measure func(string, face) float64) (out []placed, width, height float64) {
	width, height = g.width(), g.height()
	margin := g.margin()
	top := margin
	if g.Heading != "" {
		top += headingRoom
	}
	room := height - top - margin
	heights := make([]float64, len(charts))
	out = make([]placed, len(charts))
	for _, most := range [...]float64{tallest, 0} {
		for i, c := range charts {
			out[i].chart = g.proportioned(c, most)
			heights[i] = out[i].chart.paperHeight(width-2*margin, measure)
		}
		if height <= 0 || sum(heights)+chartGap*float64(len(charts)-1) <= room {
			break
		}
	}
	squeeze := 1.0
	if total := sum(heights); height > 0 && total > 0 {
		squeeze = math.Max(room-chartGap*float64(len(charts)-1), 1) / total
		if !g.isPicture() {
			squeeze = math.Min(1, squeeze)
		}
	}
	y := top
	for i := range out {
		h := heights[i] * squeeze
		out[i].sheet = Rect{margin, y, width - margin, y + h}
		y += h + chartGap
	}
	if height > 0 {
		return out, width, height
	}
	return out, width, y - chartGap + margin
}

func sum(v []float64) (total float64) {
	for _, x := range v {
		total += x
	}
	return total
}

// proportioned gives a level over log frequency the proportions of IEC 60263 where
// it has none yet: 25 dB to a decade, or 50 dB where the plot would be taller than
// most times its width.
func (g Page) proportioned(c Chart, most float64) Chart {
	if g.FreeAspect || g.isPicture() || c.DecadeDB != 0 || !c.X.Log || c.Y.Log || c.Y.Label != "dB" || c.Map != nil || c.Surface != nil {
		return c
	}
	c.DecadeDB = 25
	if c.heightPerWidth() > most {
		c.DecadeDB = 50
	}
	return c
}

// paperHeight is how tall c wants to be, in units.
func (c Chart) paperHeight(width float64, measure func(string, face) float64) float64 {
	if !c.proportional() {
		switch {
		case c.Surface != nil:
			return surfaceHeight
		case c.Y.Label == "" && c.Y.Unit == "":
			return bareHeight
		}
		return freeHeight
	}
	const tall = 1e5
	l := c.arrange(Rect{0, 0, width, tall}, c.legendRows(width-leftInset-rightInset, measure))
	return math.Min(l.plot.Y1+bottomInset, tall)
}

// draw draws the page and gives its size.
func (g Page) draw(p paperPen, charts []Chart) (width, height float64) {
	places, width, height := g.place(charts, p.measure)
	p.fill(Rect{0, 0, width, height}, color.NRGBA{R: 255, G: 255, B: 255, A: 255})
	if g.Heading != "" {
		g.heading(p, p.measure)
	}
	for _, s := range places {
		s.chart.drawOn(p, s.sheet, Daylight())
	}
	return width, height
}

// heading sets the line above the charts, in line with their plots.
func (g Page) heading(p pen, measure func(string, face) float64) {
	margin := g.margin()
	text := g.Heading
	for runes := []rune(text); len(runes) > 1 && measure(text, headingFace) > g.width()-2*margin-leftInset; {
		runes = runes[:len(runes)-1]
		text = string(runes) + "…"
	}
	p.text(margin+leftInset, margin+18, text, headingFace, Daylight().Ink)
}
