package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// textLink is a word that can be pressed. Tab reaches it, and Enter or Space presses
// it; all other keys go on to the window. A line under it shows the focus.
type textLink struct {
	widget.BaseWidget
	look  *look
	text  string
	width float32 // of the longest text that is shown whole; 0: any
	press func()
	came  func() // the focus has come; nil: nobody wants to know

	focused bool
}

func newTextLink(l *look, text string, press func()) *textLink {
	t := &textLink{look: l, text: text, press: press}
	t.ExtendBaseWidget(t)
	return t
}

// say changes the word.
func (t *textLink) say(text string) {
	if t.text != text {
		t.text = text
		t.Refresh()
	}
}

// Tapped presses the link.
func (t *textLink) Tapped(*fyne.PointEvent) { t.press() }

// TypedKey presses the link on Enter and Space and passes all other keys on.
func (t *textLink) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeySpace:
		t.press()
	default:
		if t.look.keys != nil {
			t.look.keys(e)
		}
	}
}

// TypedRune does nothing: the keys are enough.
func (t *textLink) TypedRune(rune) {}

// FocusGained draws the line under the word.
func (t *textLink) FocusGained() {
	t.focused = true
	t.Refresh()
	if t.came != nil {
		t.came()
	}
}

// FocusLost takes the line away.
func (t *textLink) FocusLost() { t.focused = false; t.Refresh() }

// Cursor shows that the word can be pressed.
func (t *textLink) Cursor() desktop.Cursor { return desktop.PointerCursor }

// CreateRenderer makes the word, and the line and the tint of the focus.
func (t *textLink) CreateRenderer() fyne.WidgetRenderer {
	r := &textLinkRenderer{t, canvas.NewRectangle(nil), canvas.NewText("", nil), canvas.NewRectangle(nil)}
	r.Refresh()
	return r
}

type textLinkRenderer struct {
	t      *textLink
	ground *canvas.Rectangle
	word   *canvas.Text
	under  *canvas.Rectangle
}

func (r *textLinkRenderer) Destroy() {}

func (r *textLinkRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.ground, r.word, r.under}
}

func (r *textLinkRenderer) MinSize() fyne.Size { return r.word.MinSize() }

func (r *textLinkRenderer) Layout(s fyne.Size) {
	const thick = 2
	r.ground.Move(fyne.NewPos(-3, -1))
	r.ground.Resize(fyne.NewSize(s.Width+6, s.Height+2))
	r.word.Resize(s)
	r.under.Move(fyne.NewPos(0, s.Height-thick+1))
	r.under.Resize(fyne.NewSize(s.Width, thick))
}

func (r *textLinkRenderer) Refresh() {
	t, l := r.t, r.t.look
	r.word.Text, r.word.Color, r.word.TextSize = t.text, l.Accent, textBody
	if t.width > 0 {
		r.word.Text = shorten(t.text, t.width, textBody, fyne.TextStyle{})
	}
	r.under.FillColor, r.ground.FillColor = l.Ink, l.hover
	r.under.Hidden, r.ground.Hidden = !t.focused, !t.focused
	r.Layout(t.Size())
	canvas.Refresh(t)
}
