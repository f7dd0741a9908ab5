package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// textLink is a word that can be pressed.
type textLink struct {
	widget.BaseWidget
	look  *look
	text  string
	press func()
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

// Cursor shows that the word can be pressed.
func (t *textLink) Cursor() desktop.Cursor { return desktop.PointerCursor }

// CreateRenderer makes the word.
func (t *textLink) CreateRenderer() fyne.WidgetRenderer {
	r := &textLinkRenderer{t, canvas.NewText("", nil)}
	r.Refresh()
	return r
}

type textLinkRenderer struct {
	t    *textLink
	word *canvas.Text
}

func (r *textLinkRenderer) Destroy()                     {}
func (r *textLinkRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.word} }
func (r *textLinkRenderer) MinSize() fyne.Size           { return r.word.MinSize() }
func (r *textLinkRenderer) Layout(s fyne.Size)           { r.word.Resize(s) }

func (r *textLinkRenderer) Refresh() {
	r.word.Text, r.word.Color, r.word.TextSize = r.t.text, r.t.look.Accent, textBody
	r.word.Refresh()
}
