package chart

import (
	"image"
	"image/color"
)

// Map draws a grid of levels in colours on the plot of a chart, its columns along
// the horizontal axis and its rows along the left one. What is not known is clear;
// what lies outside of Scale has the colour of its nearer end. A bar beside the plot
// names the levels, in the place of the right axis.
//
// The colours are a path of even steps through OKLab (Ottosson 2020), from yellow
// over green to blue, whose lightness changes in one direction.
type Map struct {
	Grid
	Scale  Axis // of the colours: "dB", Min, Max, Step; linear
	Smooth bool // levels change evenly between the points; else each point fills its cell
}

// picture draws the map on w × h pixels whose upper left corner is that of r, in
// positions, with so many pixels to the position.
func (m *Map) picture(r Rect, w, h int, resolution float64, x, y scale, colours color.Palette) *image.Paletted {
	img := image.NewPaletted(image.Rect(0, 0, w, h), colours)
	columns := samplings(m.X, x, r.X0, resolution, w, m.Smooth)
	rows := samplings(m.Y[:m.rows()], y, r.Y0, resolution, h, m.Smooth)
	lo, hi := m.limits()
	lines := lines{grid: &m.Grid, columns: columns, at: [2]int{-1, -1}}
	for k, s := range rows {
		if s.from == s.to {
			continue
		}
		indexLevels(img.Pix[k*w:k*w+w], lines.mix(s), lo, hi)
	}
	return img
}

func (m *Map) limits() (lo, hi float64) {
	scale := m.Scale
	scale.Log = false
	return scale.Limits()
}

// lines gives rows of levels at the columns of a picture, keeping the last two.
type lines struct {
	grid    *Grid
	columns []sampling
	at      [2]int
	kept    [2][]float64
	mixed   []float64
}

// line is one row of the grid at the columns. It is valid until the second next call
// for another row.
func (l *lines) line(row int) []float64 {
	slot := row % 2
	if l.at[slot] == row {
		return l.kept[slot]
	}
	if l.kept[slot] == nil {
		l.kept[slot] = make([]float64, len(l.columns))
	}
	levels := l.grid.Level[row][:l.grid.columns(row)]
	for i, c := range l.columns {
		l.kept[slot][i] = c.of(levels)
	}
	l.at[slot] = row
	return l.kept[slot]
}

// mix is what a row of pixels shows.
func (l *lines) mix(s sampling) []float64 {
	first := l.line(s.from)
	if s.share == 0 && s.to == s.from+1 {
		return first
	}
	l.mixed = append(l.mixed[:0], first...)
	if s.share > 0 {
		for i, v := range l.line(s.from + 1) {
			l.mixed[i] = mixed(l.mixed[i], v, s.share)
		}
		return l.mixed
	}
	for row := s.from + 1; row < s.to; row++ {
		for i, v := range l.line(row) {
			l.mixed[i] = higher(l.mixed[i], v)
		}
	}
	return l.mixed
}
