package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// button is a key of the window: primary in the accent, or secondary with a
// hairline. Tab reaches it and Enter presses it; all other keys go on to the
// window, so that Space measures wherever the focus is.
type button struct {
	widget.BaseWidget
	look    *look
	keys    func(*fyne.KeyEvent)
	text    string
	hint    string // the key that does the same, shown beside the text
	primary bool
	off     bool
	press   func()

	hovered, focused bool
}

func newButton(l *look, keys func(*fyne.KeyEvent), text string, press func()) *button {
	b := &button{look: l, keys: keys, text: text, press: press}
	b.ExtendBaseWidget(b)
	return b
}

func newPrimary(l *look, keys func(*fyne.KeyEvent), text, hint string, press func()) *button {
	b := newButton(l, keys, text, press)
	b.primary, b.hint = true, hint
	return b
}

// set changes the text and whether the button can be pressed.
func (b *button) set(text, hint string, on bool) {
	if b.text != text || b.hint != hint || b.off == on {
		b.text, b.hint, b.off = text, hint, !on
		b.Refresh()
	}
}

// enable lets the button be pressed, or not.
func (b *button) enable(on bool) { b.set(b.text, b.hint, on) }

// Tapped presses the button.
func (b *button) Tapped(*fyne.PointEvent) {
	if !b.off && b.press != nil {
		b.press()
	}
}

// TypedKey presses the button on Enter and passes all other keys on.
func (b *button) TypedKey(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyReturn || e.Name == fyne.KeyEnter {
		b.Tapped(nil)
		return
	}
	if b.keys != nil {
		b.keys(e)
	}
}

// TypedRune does nothing: the keys are enough.
func (b *button) TypedRune(rune) {}

// FocusGained draws the ring around the button.
func (b *button) FocusGained() { b.focused = true; b.Refresh() }

// FocusLost takes the ring away.
func (b *button) FocusLost() { b.focused = false; b.Refresh() }

// MouseIn, MouseMoved and MouseOut tint the button under the pointer.
func (b *button) MouseIn(*desktop.MouseEvent) { b.hovered = true; b.Refresh() }

// MouseMoved is not used.
func (b *button) MouseMoved(*desktop.MouseEvent) {}

// MouseOut takes the tint away.
func (b *button) MouseOut() { b.hovered = false; b.Refresh() }

// Cursor shows that the button can be pressed.
func (b *button) Cursor() desktop.Cursor {
	if b.off {
		return desktop.DefaultCursor
	}
	return desktop.PointerCursor
}

// CreateRenderer makes the ground and the two texts.
func (b *button) CreateRenderer() fyne.WidgetRenderer {
	r := &buttonRenderer{b: b, ground: canvas.NewRectangle(nil), text: canvas.NewText("", nil), hint: canvas.NewText("", nil)}
	r.Refresh()
	return r
}

type buttonRenderer struct {
	b          *button
	ground     *canvas.Rectangle
	text, hint *canvas.Text
}

func (r *buttonRenderer) Destroy() {}

func (r *buttonRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.ground, r.text, r.hint}
}

func (r *buttonRenderer) MinSize() fyne.Size {
	w := r.text.MinSize().Width
	if r.hint.Text != "" {
		w += r.hint.MinSize().Width + 8
	}
	return fyne.NewSize(w+36, 38)
}

func (r *buttonRenderer) Layout(s fyne.Size) {
	r.ground.Resize(s)
	t, h := r.text.MinSize(), r.hint.MinSize()
	w := t.Width
	if r.hint.Text != "" {
		w += h.Width + 8
	}
	x := (s.Width - w) / 2
	r.text.Move(fyne.NewPos(x, (s.Height-t.Height)/2))
	r.text.Resize(t)
	r.hint.Move(fyne.NewPos(x+t.Width+8, (s.Height-h.Height)/2))
	r.hint.Resize(h)
}

func (r *buttonRenderer) Refresh() {
	b, l := r.b, r.b.look
	r.text.Text, r.hint.Text = b.text, b.hint
	r.text.TextSize, r.hint.TextSize = textBody, textBody
	r.text.TextStyle = fyne.TextStyle{Bold: true}
	r.ground.CornerRadius = fieldRadius
	r.ground.StrokeWidth = 1
	r.ground.FillColor, r.ground.StrokeColor = l.Card, l.field
	r.text.Color, r.hint.Color = l.Ink, l.Second
	switch {
	case b.off:
		r.ground.FillColor, r.ground.StrokeColor = l.Panel, l.Hairline
		r.text.Color = l.Second
	case b.primary:
		r.ground.FillColor, r.ground.StrokeColor = l.Accent, l.Accent
		r.text.Color, r.hint.Color = l.OnAccent, l.OnAccent
		if b.hovered {
			r.ground.FillColor = mix(l.Accent, l.Ink, 0.12)
		}
	case b.hovered:
		r.ground.FillColor = l.hover
	}
	if b.focused {
		r.ground.StrokeColor, r.ground.StrokeWidth = l.Ink, 2
	}
	r.Layout(b.Size())
	canvas.Refresh(b)
}
