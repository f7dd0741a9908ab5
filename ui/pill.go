package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// pill is a small key in the head of a room that tells a choice and changes it. Enter or
// Down presses it while it has the focus; all other keys go on to the window. A bare one
// is a title that can be changed: strong, with no edge.
type pill struct {
	widget.BaseWidget
	look  *look
	keys  func(*fyne.KeyEvent)
	bare  bool
	text  string
	least float32 // a bare one may become so narrow
	press func()

	hovered, focused bool
}

func newPill(s *shell, press func()) *pill {
	p := &pill{look: s.look, keys: s.key, press: press}
	p.ExtendBaseWidget(p)
	return p
}

// newTitlePill is a title that can be changed.
func newTitlePill(s *shell, press func()) *pill {
	p := newPill(s, press)
	p.bare, p.least = true, 120
	return p
}

// set changes the text.
func (p *pill) set(text string) {
	if p.text != text {
		p.text = text
		p.Refresh()
	}
}

// Tapped presses the pill.
func (p *pill) Tapped(*fyne.PointEvent) { p.press() }

// TypedKey presses the pill on Enter and Down and passes all other keys on.
func (p *pill) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeyDown:
		p.press()
	default:
		p.keys(e)
	}
}

// TypedRune does nothing: the keys are enough.
func (p *pill) TypedRune(rune) {}

// FocusGained draws the ring around the pill.
func (p *pill) FocusGained() { p.focused = true; p.Refresh() }

// FocusLost takes the ring away.
func (p *pill) FocusLost() { p.focused = false; p.Refresh() }

// MouseIn, MouseMoved and MouseOut tint the pill under the pointer.
func (p *pill) MouseIn(*desktop.MouseEvent) { p.hovered = true; p.Refresh() }

// MouseMoved is not used.
func (p *pill) MouseMoved(*desktop.MouseEvent) {}

// MouseOut takes the tint away.
func (p *pill) MouseOut() { p.hovered = false; p.Refresh() }

// Cursor shows that the pill can be pressed.
func (p *pill) Cursor() desktop.Cursor { return desktop.PointerCursor }

// CreateRenderer makes ground and text.
func (p *pill) CreateRenderer() fyne.WidgetRenderer {
	r := &pillRenderer{p, canvas.NewRectangle(nil), canvas.NewText("", nil)}
	r.Refresh()
	return r
}

type pillRenderer struct {
	p      *pill
	ground *canvas.Rectangle
	text   *canvas.Text
}

func (r *pillRenderer) Destroy() {}

func (r *pillRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.ground, r.text} }

// style is size and face of the text.
func (r *pillRenderer) style() (size float32, face fyne.TextStyle) {
	if r.p.bare {
		return textHead, fyne.TextStyle{Bold: true}
	}
	return textSmall + 0.5, fyne.TextStyle{}
}

func (r *pillRenderer) MinSize() fyne.Size {
	size, face := r.style()
	m := fyne.MeasureText(r.p.text, size, face)
	if r.p.bare {
		return fyne.NewSize(min(m.Width, r.p.least), m.Height)
	}
	return fyne.NewSize(m.Width+24, chipHeight)
}

func (r *pillRenderer) Layout(s fyne.Size) {
	size, face := r.style()
	m := fyne.MeasureText(r.p.text, size, face)
	r.ground.Resize(s)
	r.ground.Move(fyne.NewPos(0, 0))
	r.text.Text = r.p.text
	at := fyne.NewPos((s.Width-m.Width)/2, (s.Height-m.Height)/2)
	if r.p.bare {
		r.ground.Move(fyne.NewPos(-4, -1))
		r.ground.Resize(fyne.NewSize(min(m.Width, s.Width)+8, s.Height+2))
		at.X = 0
		r.text.Text = shorten(r.p.text, s.Width+0.5, size, face)
	}
	r.text.Move(at)
	r.text.Resize(m)
	r.text.Refresh()
}

func (r *pillRenderer) Refresh() {
	p, l := r.p, r.p.look
	r.text.Color = l.Ink
	r.text.TextSize, r.text.TextStyle = r.style()
	r.ground.CornerRadius, r.ground.StrokeWidth = chipHeight/2, 1
	r.ground.FillColor, r.ground.StrokeColor = l.Panel, l.field
	if p.bare {
		r.ground.CornerRadius, r.ground.StrokeColor = 4, l.Panel
	}
	if p.hovered {
		r.ground.FillColor = l.hover
	}
	if p.focused {
		r.ground.StrokeColor, r.ground.StrokeWidth = l.Ink, 2
	}
	r.Layout(p.Size())
	canvas.Refresh(p)
}
