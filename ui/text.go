package ui

import (
	"image/color"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// role is how a line of text is drawn.
type role int

const (
	roleBody role = iota
	roleStrong
	roleSecond  // the second ink
	roleCaption // small, in the second ink
	roleTitle   // small and strong, in the second ink: the head of a list
	roleHead    // the values in the head of a room
	roleMono
	roleMonoSecond
	roleMonoBig
	roleError
)

// style gives size, face and colour of a role.
func (l *look) style(r role) (size float32, face fyne.TextStyle, c color.Color) {
	bold, mono := fyne.TextStyle{Bold: true}, fyne.TextStyle{Monospace: true}
	switch r {
	case roleStrong:
		return textBody, bold, l.Ink
	case roleSecond:
		return textBody, fyne.TextStyle{}, l.Second
	case roleCaption:
		return textSmall, fyne.TextStyle{}, l.Second
	case roleTitle:
		return textSmall + 0.5, bold, l.Second
	case roleHead:
		return textHead, bold, l.Ink
	case roleMono:
		return textBody - 0.5, mono, l.Ink
	case roleMonoSecond:
		return textBody - 0.5, mono, l.Second
	case roleMonoBig:
		return textHead + 0.5, mono, l.Ink
	case roleError:
		return textSmall, fyne.TextStyle{}, l.Fail
	}
	return textBody, fyne.TextStyle{}, l.Ink
}

// line is one line of text. When it is wider than its place it ends in "…".
type line struct {
	widget.BaseWidget
	look  *look
	role  role
	value string
	align fyne.TextAlign
	min   float32 // the least width; 0: as wide as the text
}

func newLine(l *look, r role, value string) *line {
	t := &line{look: l, role: r, value: value}
	t.ExtendBaseWidget(t)
	return t
}

// newFlexLine is a line that may become narrower than its text.
func newFlexLine(l *look, r role, value string) *line {
	t := newLine(l, r, value)
	t.min = 20
	return t
}

// right puts the text at the right end of its place.
func (t *line) right() *line {
	t.align = fyne.TextAlignTrailing
	return t
}

// set changes the text; it does nothing when it is the same.
func (t *line) set(value string) {
	if t.value != value {
		t.value = value
		t.Refresh()
	}
}

// wide is how wide the whole text is.
func (t *line) wide() float32 {
	size, face, _ := t.look.style(t.role)
	return fyne.MeasureText(t.value, size, face).Width
}

// CreateRenderer makes the one text of the line.
func (t *line) CreateRenderer() fyne.WidgetRenderer {
	r := &lineRenderer{line: t, text: canvas.NewText("", nil)}
	r.Refresh()
	return r
}

type lineRenderer struct {
	line *line
	text *canvas.Text
}

func (r *lineRenderer) Destroy()                     {}
func (r *lineRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.text} }

func (r *lineRenderer) MinSize() fyne.Size {
	size, face, _ := r.line.look.style(r.line.role)
	m := fyne.MeasureText(r.line.value, size, face)
	if r.line.min > 0 {
		m.Width = min(m.Width, r.line.min)
	}
	return m
}

func (r *lineRenderer) Layout(s fyne.Size) {
	size, face, _ := r.line.look.style(r.line.role)
	value := shorten(r.line.value, s.Width+0.5, size, face)
	if value != r.text.Text {
		r.text.Text = value
		r.text.Refresh()
	}
	r.text.Resize(s)
}

func (r *lineRenderer) Refresh() {
	r.text.TextSize, r.text.TextStyle, r.text.Color = r.line.look.style(r.line.role)
	r.text.Alignment = r.line.align
	r.text.Text = r.line.value
	if s := r.line.Size(); s.Width > 0 {
		r.text.Text = shorten(r.line.value, s.Width+0.5, r.text.TextSize, r.text.TextStyle)
	}
	r.text.Refresh()
}

// shorten cuts text so that it fits into width, with "…" at its end.
func shorten(text string, width, size float32, face fyne.TextStyle) string {
	if fyne.MeasureText(text, size, face).Width <= width {
		return text
	}
	runes := []rune(text)
	low, high := 0, len(runes)
	for low < high {
		mid := (low + high + 1) / 2
		if fyne.MeasureText(string(runes[:mid])+"…", size, face).Width <= width {
			low = mid
		} else {
			high = mid - 1
		}
	}
	return strings.TrimRight(string(runes[:low]), " ") + "…"
}
