package chart

import (
	"image/color"
	"math"
)

// sketch draws the still parts of one chart with a pen.
type sketch struct {
	pen
	chart Chart
	theme Theme
	layout
	thickness float64 // of traces, as a share of that on the screen
}

// axes draws everything but the traces.
func (s sketch) axes() {
	s.fill(s.sheet, s.theme.Card)
	s.heading()
	if s.chart.Surface != nil {
		s.surfaceAxes()
		return
	}
	if s.chart.Map != nil {
		s.drawMap()
		s.drawBar()
	}
	for _, shade := range s.chart.Shades {
		if r, ok := s.shadeRect(shade); ok {
			s.fill(r, s.tint(shade))
		}
	}
	xt := s.xTicks()
	yt := s.yTicks()
	for w := fine; w <= strong; w++ {
		s.grid(xt, yt, w)
	}
	s.xLabels(xt)
	s.yLabels(yt)
	for _, shade := range s.chart.Shades {
		s.explain(shade)
	}
	for _, m := range s.chart.Marks {
		s.mark(m)
	}
	s.drawLegend()
}

// numbered says whether the left axis carries numbers.
func (s sketch) numbered() bool { return s.chart.Y.Label != "" || s.chart.Y.Unit != "" }

func (s sketch) xTicks() []tick {
	if s.chart.X.Log {
		return s.chart.X.ticks(s.plot.Dx(), leastXGap)
	}
	return s.chart.X.ticks(s.plot.Dx(), airyXGap)
}

// yTicks are the level lines; on an axis without numbers the zero line alone.
func (s sketch) yTicks() []tick {
	all := s.chart.Y.ticks(s.plot.Dy(), leastYGap)
	if s.numbered() {
		return all
	}
	for _, t := range all {
		if t.value == 0 {
			return []tick{{value: 0, weight: plain}}
		}
	}
	return nil
}

// grid draws the lines of one weight.
func (s sketch) grid(xt, yt []tick, w weight) {
	c, drawn := s.gridColor(w)
	if !drawn {
		return
	}
	for _, t := range xt {
		if s.xWeight(t) == w {
			x := s.x.at(t.value)
			s.rule(x, s.plot.Y0, x, s.plot.Y1, 1, c)
		}
	}
	for _, t := range yt {
		if t.weight == w {
			y := s.y.at(t.value)
			s.rule(s.plot.X0, y, s.plot.X1, y, 1, c)
		}
	}
}

// xWeight keeps strong lines for the decades: on a linear axis zero is a line like
// the others.
func (s sketch) xWeight(t tick) weight {
	if !s.chart.X.Log && t.weight == strong {
		return plain
	}
	return t.weight
}

// xLabels sets the numbers under the plot, leaving out those that would touch.
func (s sketch) xLabels(ticks []tick) {
	free := math.Inf(-1)
	for _, t := range ticks {
		if t.label == "" {
			continue
		}
		w := s.measure(t.label, labelFace)
		x := math.Min(s.x.at(t.value)-w/2, s.sheet.X1-w-2)
		if x < free+6 {
			continue
		}
		s.text(x, s.plot.Y1+15, t.label, labelFace, s.theme.Second)
		free = x + w
	}
}

// yLabels sets the numbers at both sides and the unit above the left ones.
func (s sketch) yLabels(ticks []tick) {
	const drop = 4 // from the middle of a figure to its baseline
	for _, t := range ticks {
		s.textEnding(s.plot.X0-7, s.y.at(t.value)+drop, t.label)
	}
	if a := s.chart.Y2; a != nil && s.chart.Map == nil {
		for _, t := range a.ticks(s.plot.Dy(), leastYGap) {
			s.text(s.plot.X1+6, s.y2.at(t.value)+drop, t.label, labelFace, s.theme.Second)
		}
		s.text(s.plot.X1+6, s.plot.Y0-unitRise, a.Label, labelFace, s.theme.Second)
	}
	unit := s.chart.Y.Label
	if !s.numbered() {
		unit = s.chart.X.Label
	}
	s.textEnding(s.plot.X0-7, s.plot.Y0-unitRise, unit)
}

func (s sketch) textEnding(x, y float64, label string) {
	if label != "" {
		s.text(x-s.measure(label, labelFace), y, label, labelFace, s.theme.Second)
	}
}

// heading sets title and subtitle on one line.
func (s sketch) heading() {
	x, y := s.plot.X0, s.sheet.Y0+titleBaseline
	if s.chart.Title != "" {
		s.text(x, y, s.chart.Title, titleFace, s.theme.Ink)
		x += s.measure(s.chart.Title, titleFace) + 9
	}
	if s.chart.Subtitle != "" {
		s.text(x, y, fit(s.chart.Subtitle, s.headingEnd()-x, s.pen), bodyFace, s.theme.Second)
	}
}

// headingEnd is how far to the right the heading may go: not over the unit of a bar.
func (s sketch) headingEnd() float64 {
	if s.chart.Map != nil {
		return s.plot.X1
	}
	return s.sheet.X1 - 8
}

// fit shortens text of the body to a width.
func fit(text string, width float64, p pen) string {
	return shortened(text, width, func(s string) float64 { return p.measure(s, bodyFace) })
}

// drawLegend sets a sample of each line and its name.
func (s sketch) drawLegend() {
	for _, e := range s.legend {
		t := s.chart.Traces[e.trace]
		x, y := s.plot.X0+e.x, s.legendY+float64(e.row)*legendRow
		c := s.theme.TraceColor(t.Color)
		if t.filled() {
			s.sampleArea(Rect{x, y - 8, x + sampleLength, y}, &t, c)
		} else {
			s.stroke([]vertex{{x, y - 4}, {x + sampleLength, y - 4}}, t.width()*s.thickness, dashOf(t.Dash), c)
		}
		s.text(x+sampleLength+sampleGap, y, t.Name, labelFace, s.theme.Ink)
	}
}

// sampleArea draws the sample of a trace that is an area.
func (s sketch) sampleArea(r Rect, t *Trace, c color.NRGBA) {
	s.fill(r, translucent(c, fillAlpha))
	if t.Low != nil && t.Hatch != NoHatch {
		outline := []vertex{{r.X0, r.Y0}, {r.X1, r.Y0}, {r.X1, r.Y1}, {r.X0, r.Y1}}
		s.stroke(t.Hatch.lines(outline, hatchSpacing), hatchWidth*s.thickness, nil, t.hatchColor(s.theme))
	}
	if t.edged() {
		for _, y := range [...]float64{r.Y0, r.Y1} {
			s.stroke([]vertex{{r.X0, y}, {r.X1, y}}, t.edgeWidth()*s.thickness, dashOf(t.Dash), c)
		}
	}
}
