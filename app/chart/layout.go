package chart

import "math"

// Rect is a rectangle in units of 1/96 inch from the upper left corner of the
// picture, y downwards.
type Rect struct{ X0, Y0, X1, Y1 float64 }

// Dx is the width of r.
func (r Rect) Dx() float64 { return r.X1 - r.X0 }

// Dy is the height of r.
func (r Rect) Dy() float64 { return r.Y1 - r.Y0 }

// Contains says whether the point lies in r, edges included.
func (r Rect) Contains(x, y float64) bool {
	return x >= r.X0 && x <= r.X1 && y >= r.Y0 && y <= r.Y1
}

// layout is where everything of a chart stands, in units. Charts of one width have
// their plot areas at the same left and right, so that a cursor may run through.
type layout struct {
	sheet    Rect
	plot     Rect
	x, y, y2 scale // of a surface: along its front
	slant    slant
	legend   []legendEntry
	legendY  float64 // baseline of the first row
}

// Distances in units of 1/96 inch.
const (
	leftInset     = 58
	rightInset    = 40
	narrowLeft    = 44
	narrowRight   = 18
	narrowBelow   = 360 // a sheet less wide than this has the narrow insets
	titledTop     = 36
	untitledTop   = 24
	bottomInset   = 32
	titleBaseline = 22
	legendRow     = 17
	unitRise      = 10 // from the plot up to the baseline of the unit
)

// arrange lays out c on a sheet. A sheet too small for a plot gets one of a unit.
func (c Chart) arrange(sheet Rect, legend []legendEntry) layout {
	l := layout{sheet: sheet, legend: legend}
	l.plot = Rect{sheet.X0 + leftInset, sheet.Y0 + untitledTop, sheet.X1 - rightInset, sheet.Y1 - bottomInset}
	if sheet.Dx() < narrowBelow {
		l.plot.X0 = sheet.X0 + narrowLeft
		if c.Y2 == nil && c.Map == nil && c.Surface == nil {
			l.plot.X1 = sheet.X1 - narrowRight
		}
	}
	if c.Title != "" {
		l.plot.Y0 = sheet.Y0 + titledTop
	}
	if len(legend) > 0 {
		l.legendY = l.plot.Y0 + 2
		l.plot.Y0 += float64(legend[len(legend)-1].row+1)*legendRow + unitRise
	}
	l.plot.X1 = math.Max(l.plot.X1, l.plot.X0+1)
	l.plot.Y1 = math.Max(l.plot.Y1, l.plot.Y0+1)
	l.plot = c.inProportion(l.plot)
	l.rescale(c)
	return l
}

// rescale sets the scales to the plot area.
func (l *layout) rescale(c Chart) {
	l.slant = c.slantOf(l.plot)
	l.x = newScale(c.X, l.plot.X0, l.plot.X1-l.slant.right)
	l.y = newScale(c.Y, l.plot.Y1, l.plot.Y0+l.slant.up)
	l.y2 = l.y
	if c.Y2 != nil {
		l.y2 = newScale(*c.Y2, l.plot.Y1, l.plot.Y0)
	}
}

// inProportion shrinks r until one decade is as long as DecadeDB decibels (IEC
// 60263: 25 dB or 50 dB to the length of a decade). It leaves r as it is where no
// proportion is asked for or the axes are no level over log frequency.
func (c Chart) inProportion(r Rect) Rect {
	if !c.proportional() {
		return r
	}
	slope := c.heightPerWidth()
	if h := r.Dx() * slope; h <= r.Dy() {
		r.Y1 = r.Y0 + h
		return r
	}
	r.X1 = r.X0 + r.Dy()/slope
	return r
}

// proportional says whether the plot has fixed proportions.
func (c Chart) proportional() bool {
	return c.DecadeDB > 0 && c.X.Log && !c.Y.Log && c.Map == nil && c.Surface == nil
}

// heightPerWidth is the proportion of the plot that DecadeDB asks for.
func (c Chart) heightPerWidth() float64 {
	x0, x1 := c.X.Limits()
	y0, y1 := c.Y.Limits()
	return (y1 - y0) / c.DecadeDB / math.Log10(x1/x0)
}

// scaleOf is the vertical scale that t belongs to.
func (l *layout) scaleOf(t *Trace) scale {
	if t.Right {
		return l.y2
	}
	return l.y
}

// legendEntry is one trace in the legend: its place in units from the left of the
// plot, and the row.
type legendEntry struct {
	trace int
	x     float64
	row   int
}

// Legend distances in units.
const (
	sampleLength = 30
	sampleGap    = 7
	entryGap     = 20
)

// legendRows sets the names of the visible traces in rows of the given width;
// none where fewer than two have one.
func (c Chart) legendRows(width float64, measure func(string, face) float64) []legendEntry {
	var out []legendEntry
	x, row := 0.0, 0
	for i, t := range c.Traces {
		if t.Hidden || t.Name == "" {
			continue
		}
		w := sampleLength + sampleGap + measure(t.Name, labelFace)
		if x > 0 && x+w > width {
			x, row = 0, row+1
		}
		out = append(out, legendEntry{trace: i, x: x, row: row})
		x += w + entryGap
	}
	if len(out) < 2 {
		return nil
	}
	return out
}
