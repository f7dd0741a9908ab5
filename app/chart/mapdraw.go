package chart

import (
	"image"
	"image/color"
	"math"
)

// drawMap lays the map of the chart on its plot.
func (s sketch) drawMap() {
	m := s.chart.Map
	w, h := s.pixels(s.plot)
	s.picture(s.plot, m.picture(s.plot, w, h, s.resolution(), s.x, s.y, s.theme.levelPalette()))
}

// pixels is how many pixels of the pen r takes.
func (s sketch) pixels(r Rect) (w, h int) {
	px := func(v float64) int { return max(int(math.Round(v*s.resolution())), 1) }
	return px(r.Dx()), px(r.Dy())
}

// Distances of the bar from the plot, in units.
const (
	barGap   = 6
	barWidth = 7
)

// drawBar sets the bar of colours beside the plot, with its levels.
func (s sketch) drawBar() {
	m := s.chart.Map
	lo, hi := m.limits()
	r := Rect{s.plot.X1 + barGap, s.plot.Y0, s.plot.X1 + barGap + barWidth, s.plot.Y1}
	w, h := s.pixels(r)
	img := image.NewPaletted(image.Rect(0, 0, w, h), s.theme.levelPalette())
	for i := range img.Pix {
		share := 1 - (float64(i/w)+0.5)/float64(h)
		img.Pix[i] = levelIndex(lo+share*(hi-lo), lo, hi)
	}
	s.picture(r, img)
	levels := newScale(Axis{Min: lo, Max: hi}, r.Y1, r.Y0)
	scale := m.Scale
	scale.Log = false
	const drop, gap = 4, 4
	for _, t := range scale.ticks(r.Dy(), leastYGap) {
		s.text(r.X1+gap, levels.at(t.value)+drop, t.label, labelFace, s.theme.Second)
	}
	s.text(r.X0, s.plot.Y0-unitRise, scale.Label, labelFace, s.theme.Second)
}

// veil is how much of the ink the lines of the grid carry over a map, of 255.
const veil = 0x38

// gridColor is the colour of the lines of one weight; false where they are left out.
func (s sketch) gridColor(w weight) (color.NRGBA, bool) {
	if s.chart.Map == nil {
		return s.weightColor(w), true
	}
	return translucent(s.theme.Ink, veil), w != fine
}

func (s sketch) weightColor(w weight) color.NRGBA {
	return [...]color.NRGBA{fine: s.theme.Fine, plain: s.theme.Grid, strong: s.theme.Decade}[w]
}
