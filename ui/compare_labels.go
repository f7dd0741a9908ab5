package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"stillroom/app/chart"
)

// valueLabels are the values of the lines of a chart beside its cursor, each on a veil
// with a strip of its colour. They are made once and then moved.
type valueLabels struct {
	look  *look
	boxes []valueLabel
	all   []fyne.CanvasObject
}

type valueLabel struct {
	veil, strip *canvas.Rectangle
	text        *canvas.Text
}

func newValueLabels(l *look) *valueLabels { return &valueLabels{look: l} }

func (l *valueLabels) objects() []fyne.CanvasObject { return l.all }

// place shows the values at x.
func (l *valueLabels) place(p *chart.Plot, x float64) {
	list := p.Labels(x, false)
	for len(l.boxes) < len(list) {
		b := valueLabel{canvas.NewRectangle(nil), canvas.NewRectangle(nil), canvas.NewText("", nil)}
		l.boxes = append(l.boxes, b)
		l.all = append(l.all, b.veil, b.strip, b.text)
	}
	for i, b := range l.boxes {
		hidden := i >= len(list)
		b.veil.Hidden, b.strip.Hidden, b.text.Hidden = hidden, hidden, hidden
		if !hidden {
			l.fill(b, list[i], p)
		}
	}
}

// stripWidth is the colour at the left of a label.
const stripWidth = 3

func (l *valueLabels) fill(b valueLabel, label chart.Label, p *chart.Plot) {
	box := label.Box
	at, size := fyne.NewPos(float32(box.X0), float32(box.Y0)+1), fyne.NewSize(float32(box.Dx()), float32(box.Dy())-2)
	veil := l.look.Card
	veil.A = 0xE8
	b.veil.FillColor, b.strip.FillColor = veil, l.look.TraceColor(p.Chart().Traces[label.Trace].Color)
	b.veil.Move(at)
	b.veil.Resize(size)
	b.strip.Move(at)
	b.strip.Resize(fyne.NewSize(stripWidth, size.Height))
	if b.text.Text != label.Text || b.text.Color != l.look.Ink {
		b.text.Text, b.text.Color, b.text.TextSize = label.Text, l.look.Ink, legendText
		b.text.Refresh()
	}
	b.text.Move(at.AddXY(chart.LabelTextX, -1))
	b.text.Resize(size)
}
