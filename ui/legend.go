package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"stillroom/app/chart"
)

// legend names the traces of a chart at the right end of its title line, each
// after a sample of its line with its dashes.
type legend struct {
	look    *look
	skip    func(name string) bool // names that stand elsewhere; nil: none
	objects []fyne.CanvasObject
	width   float32
	title   float32         // how far the title of the chart reaches into its line
	at      []fyne.Position // of the objects, from the left end of the legend
}

func newLegend(l *look) *legend { return &legend{look: l} }

const (
	sampleWidth = 20
	legendText  = textSmall - 0.5
	titleText   = textSmall + 1 // of a chart's title
)

// set makes the legend of a chart; one trace needs none, and one without a name is
// left out.
func (g *legend) set(c chart.Chart) {
	g.objects, g.at, g.width = nil, nil, 0
	g.title = fyne.MeasureText(c.Title, titleText, fyne.TextStyle{Bold: true}).Width + fyne.MeasureText(c.Subtitle, titleText, fyne.TextStyle{}).Width + 3*gap
	if len(c.Traces) < 2 {
		return
	}
	for _, t := range c.Traces {
		if t.Name == "" || g.skip != nil && g.skip(t.Name) {
			continue
		}
		if g.width > 0 {
			g.width += 14
		}
		g.sample(t)
		name := canvas.NewText(t.Name, g.look.Second)
		name.TextSize = legendText
		name.Resize(name.MinSize())
		g.put(name, 0)
		g.width += name.MinSize().Width
	}
}

// sample draws a short piece of a trace.
func (g *legend) sample(t chart.Trace) {
	ink := g.look.TraceColor(t.Color)
	if t.Fill || t.Low != nil {
		ink.A = 0x50
		g.strip(sampleWidth, 8, ink, 4)
		g.width += sampleWidth + 6
		return
	}
	x := g.width
	for i, length := range dashSample(t.Dash) {
		if i%2 == 0 {
			g.strip(length, 2, ink, 7)
		}
		g.width += length
	}
	g.width = x + sampleWidth + 6
}

// dashSample is a dash as the lengths of strokes and gaps in turn, sampleWidth in all.
func dashSample(dash int) []float32 {
	patterns := [][]float32{{sampleWidth}, {8, 4, 8}, {3, 3, 3, 3, 3, 3, 2}, {8, 3, 3, 3, 3}, {13, 4, 3}}
	return patterns[dash%len(patterns)]
}

func (g *legend) strip(w, h float32, c interface{ RGBA() (r, g, b, a uint32) }, y float32) {
	s := canvas.NewRectangle(c)
	s.Resize(fyne.NewSize(w, h))
	g.put(s, y)
}

func (g *legend) put(o fyne.CanvasObject, y float32) {
	g.objects = append(g.objects, o)
	g.at = append(g.at, fyne.NewPos(g.width, y))
}

// Of a legend that has no room beside the title.
const (
	legendFoot  = 38 // above the foot of the plot, where a shade says why
	leastForOne = 90 // height of a plot that may hold a legend
)

// place puts the legend at the right end of the title's line; where the title leaves no
// room for it at the foot of the plot, and where that is too small nowhere.
func (g *legend) place(plot chart.Rect) {
	left, right, top := float32(plot.X0), float32(plot.X1), float32(6)
	hidden := false
	if right-g.width < left+g.title {
		top, right = float32(plot.Y1)-legendFoot, right-8
		hidden = right-g.width < left || plot.Dy() < leastForOne
	}
	for i, o := range g.objects {
		hide(o, hidden)
		o.Move(g.at[i].AddXY(right-g.width, top+2))
	}
}
