package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"stillroom/app/comparing"
)

// traceRow is one trace in the list at the side: a piece of its line, its name, by how
// much it is shifted, its eye. A press chooses it, a press on the eye closes or opens it,
// a double one opens its form.
type traceRow struct {
	widget.BaseWidget
	look   *look
	line   comparing.Line
	choose func(id string)
	eye    func(id string)
	open   func(id string)

	hovered bool
}

const (
	traceRowHeight = 27
	eyeSize        = 14
)

func newTraceRow(l *look) *traceRow {
	r := &traceRow{look: l}
	r.ExtendBaseWidget(r)
	return r
}

func (r *traceRow) set(l comparing.Line) {
	if r.line != l {
		r.line = l
		r.Refresh()
	}
}

// Tapped chooses the trace, or opens and closes its eye.
func (r *traceRow) Tapped(e *fyne.PointEvent) {
	if e.Position.X > r.Size().Width-eyeSize-8 {
		r.eye(r.line.ID)
		return
	}
	r.choose(r.line.ID)
}

// DoubleTapped opens the form of the trace.
func (r *traceRow) DoubleTapped(*fyne.PointEvent) { r.open(r.line.ID) }

// MouseIn, MouseMoved and MouseOut tint the row under the pointer.
func (r *traceRow) MouseIn(*desktop.MouseEvent) { r.hovered = true; r.Refresh() }

// MouseMoved is not used.
func (r *traceRow) MouseMoved(*desktop.MouseEvent) {}

// MouseOut takes the tint away.
func (r *traceRow) MouseOut() { r.hovered = false; r.Refresh() }

// CreateRenderer makes the parts of the row.
func (r *traceRow) CreateRenderer() fyne.WidgetRenderer {
	t := &traceRowRenderer{r: r, ground: canvas.NewRectangle(nil), rule: canvas.NewRectangle(nil),
		name: canvas.NewText("", nil), level: canvas.NewText("", nil), eye: &canvas.Image{FillMode: canvas.ImageFillContain}}
	for range 4 {
		t.strokes = append(t.strokes, canvas.NewRectangle(nil))
	}
	t.Refresh()
	return t
}

type traceRowRenderer struct {
	r            *traceRow
	ground, rule *canvas.Rectangle
	strokes      []*canvas.Rectangle
	name, level  *canvas.Text
	eye          *canvas.Image
}

func (t *traceRowRenderer) Destroy()           {}
func (t *traceRowRenderer) MinSize() fyne.Size { return fyne.NewSize(100, traceRowHeight) }

func (t *traceRowRenderer) Objects() []fyne.CanvasObject {
	o := []fyne.CanvasObject{t.ground, t.rule}
	for _, s := range t.strokes {
		o = append(o, s)
	}
	return append(o, t.name, t.level, t.eye)
}

// Of the row, from the left.
const (
	sampleStretch = 1.4 // of the piece of line, to that of a legend
	nameAt        = sampleWidth*sampleStretch + 10
)

func (t *traceRowRenderer) Layout(s fyne.Size) {
	t.ground.Move(fyne.NewPos(-6, 1))
	t.ground.Resize(fyne.NewSize(s.Width+12, s.Height-2))
	t.rule.Move(fyne.NewPos(0, s.Height-1))
	t.rule.Resize(fyne.NewSize(s.Width, 1))
	x, k := float32(0), 0
	for i, length := range dashSample(t.r.line.Dash) {
		if i%2 == 0 && k < len(t.strokes) {
			t.strokes[k].Move(fyne.NewPos(x, s.Height/2-1))
			t.strokes[k].Resize(fyne.NewSize(length*sampleStretch, 2))
			k++
		}
		x += length * sampleStretch
	}
	for ; k < len(t.strokes); k++ {
		t.strokes[k].Resize(fyne.NewSize(0, 0))
	}
	t.eye.Move(fyne.NewPos(s.Width-eyeSize, (s.Height-eyeSize)/2))
	t.eye.Resize(fyne.NewSquareSize(eyeSize))
	m := t.level.MinSize()
	right := s.Width - eyeSize - 8 - m.Width
	t.level.Move(fyne.NewPos(right, (s.Height-m.Height)/2))
	t.level.Resize(m)
	t.name.Text = shorten(t.r.line.Name, right-nameAt-6, t.name.TextSize, t.name.TextStyle)
	m = t.name.MinSize()
	t.name.Move(fyne.NewPos(nameAt, (s.Height-m.Height)/2))
	t.name.Resize(m)
}

func (t *traceRowRenderer) Refresh() {
	l, line := t.r.look, t.r.line
	t.ground.CornerRadius = 4
	t.ground.FillColor, t.rule.FillColor = l.Panel, l.Hairline
	switch {
	case line.Chosen:
		t.ground.FillColor = l.accentSoft
	case t.r.hovered:
		t.ground.FillColor = l.hover
	}
	ink, name, eye := l.TraceColor(line.Color), l.Ink, "eye"
	if !line.Seen {
		ink, name, eye = mix(l.Panel, ink, 0.45), l.Second, "eye-closed"
	}
	if line.Problem {
		name = l.Fail
	}
	for _, s := range t.strokes {
		s.FillColor = ink
	}
	t.name.Color, t.name.TextSize = name, textBody-0.5
	t.level.Text, t.level.Color, t.level.TextSize, t.level.TextStyle = line.Level, l.Second, textSmall, fyne.TextStyle{Monospace: true}
	t.eye.Resource = tinted(eye, l.Second)
	t.eye.Refresh()
	t.Layout(t.r.Size())
	canvas.Refresh(t.r)
}
