package ui

import (
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"stillroom/app/chart"
)

// gateHandles are the two ends of the gate on the impulse chart, in ms from the
// arrival, with the range between them tinted.
type gateHandles struct {
	look        *look
	open, close float64
	shown       bool
	hovered     bool
	held        bool
	moved       func(openMS, closeMS float64)
	dropped     func()

	tint  *canvas.Rectangle
	lines [2]*canvas.Line
	knobs [2]*canvas.Circle
	words [2]*canvas.Text
}

func newGateHandles(l *look, moved func(openMS, closeMS float64)) *gateHandles {
	g := &gateHandles{look: l, moved: moved, tint: canvas.NewRectangle(nil)}
	for i, w := range []string{"gate opens", "gate closes"} {
		g.lines[i] = canvas.NewLine(nil)
		g.lines[i].StrokeWidth = 1.5
		g.knobs[i] = canvas.NewCircle(nil)
		g.words[i] = canvas.NewText(w, nil)
		g.words[i].TextSize = textSmall - 0.5
	}
	g.refresh()
	return g
}

// set shows the gate of an analysis, unless a handle is held just now.
func (g *gateHandles) set(openMS, closeMS float64, shown bool) {
	g.shown = shown
	if !g.held {
		g.open, g.close = openMS, closeMS
	}
}

func (g *gateHandles) refresh() {
	g.tint.FillColor = g.look.Window
	for i := range g.lines {
		g.lines[i].StrokeColor = g.look.Accent
		g.knobs[i].FillColor = g.look.Accent
		g.words[i].Color = color.Color(g.look.Accent)
	}
}

func (g *gateHandles) objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{g.tint, g.lines[0], g.lines[1], g.knobs[0], g.knobs[1], g.words[0], g.words[1]}
}

// place puts the handles where the plot shows their times.
func (g *gateHandles) place(p *chart.Plot) {
	r := p.PlotRect()
	x := [2]float64{p.PXOf(g.open), p.PXOf(g.close)}
	left, right := math.Max(x[0], r.X0), math.Min(x[1], r.X1)
	g.tint.Hidden = !g.shown || right <= left
	g.tint.Move(fyne.NewPos(float32(left), float32(r.Y0)))
	g.tint.Resize(fyne.NewSize(float32(right-left), float32(r.Dy())))
	for i, at := range [2]float64{g.open, g.close} {
		hidden := !g.shown || !p.VisibleX(at)
		g.lines[i].Hidden, g.knobs[i].Hidden, g.words[i].Hidden = hidden, hidden, hidden
		px := float32(x[i])
		g.lines[i].Position1, g.lines[i].Position2 = fyne.NewPos(px, float32(r.Y0)), fyne.NewPos(px, float32(r.Y1))
		g.knobs[i].Resize(fyne.NewSquareSize(10))
		g.knobs[i].Move(fyne.NewPos(px-5, float32(r.Y0)-2))
		g.words[i].Move(g.wordAt(i, px, r))
		g.words[i].Resize(g.words[i].MinSize())
	}
	for _, o := range g.objects() {
		o.Refresh()
	}
}

// wordAt puts a word at the right of its line, or at the left where there is no room.
func (g *gateHandles) wordAt(i int, px float32, r chart.Rect) fyne.Position {
	w := g.words[i].MinSize()
	x := px + 9
	if i == 0 || x+w.Width > float32(r.X1) {
		x = px - 9 - w.Width
	}
	if x < float32(r.X0) {
		x = px + 9
	}
	return fyne.NewPos(x, float32(r.Y0)-2)
}

// under tells which handle is at px.
func (g *gateHandles) under(px float32, p *chart.Plot) drag {
	toOpen := math.Abs(float64(px) - p.PXOf(g.open))
	toClose := math.Abs(float64(px) - p.PXOf(g.close))
	switch {
	case toOpen < near && toOpen <= toClose:
		return dragOpen
	case toClose < near:
		return dragClose
	}
	return dragNothing
}

// move drags a handle to a time and tells it on at once.
func (g *gateHandles) move(which drag, ms float64) {
	g.held = true
	if which == dragOpen {
		g.open = ms
	} else {
		g.close = ms
	}
	g.moved(g.open, g.close)
}

// drop lets a handle go.
func (g *gateHandles) drop() {
	g.held = false
	if g.dropped != nil {
		g.dropped()
	}
}
