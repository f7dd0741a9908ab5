package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"stillroom/app/records"
)

// recordColumn is one column of the list with its shares of the width, where the list
// is wide and where it is narrow: then the place is left out, and told beside the list.
type recordColumn struct {
	name         string
	wide, narrow float32
	order        records.Sort
	orders       bool // a press on its head orders the list
}

func recordColumns() []recordColumn {
	return []recordColumn{
		{"Serial", 0.115, 0.16, records.BySerial, true},
		{"Model", 0.17, 0.20, records.ByModel, true},
		{"Batch", 0.09, 0.11, records.ByBatch, true},
		{"Measured", 0.135, 0.165, records.ByTime, true},
		{"Place", 0.165, 0, records.ByPlace, true},
		{"Response", 0.12, 0.125, 0, false},
		{"dB", 0.085, 0.09, records.ByLevel, true},
		{"Status", 0.12, 0.15, records.ByStatus, true},
	}
}

// columnLayout sets one object in each column.
type columnLayout struct{}

func (columnLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(400, 20) }

func (columnLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	const narrowBelow, between = 760, 12
	x := float32(0)
	for i, c := range recordColumns() {
		share := c.wide
		if s.Width < narrowBelow {
			share = c.narrow
		}
		if share == 0 {
			o[i].Hide()
			continue
		}
		o[i].Show()
		w, h := s.Width*share, o[i].MinSize().Height
		pad := float32(between)
		if c.name == "dB" { // its right end stands off from the status
			pad = 2 * between
		}
		o[i].Move(fyne.NewPos(x, float32(int((s.Height-h)/2))))
		o[i].Resize(fyne.NewSize(w-pad, h))
		x += w
	}
}

// columnHead is the name of a column. A press, or Enter while it has the focus, orders
// the list by it; another turns the order round.
type columnHead struct {
	widget.BaseWidget
	look   *look
	name   string
	arrow  string
	right  bool
	press  func()
	word   *canvas.Text
	under  *canvas.Rectangle
	active bool
}

func newColumnHead(l *look, c recordColumn, press func()) *columnHead {
	h := &columnHead{look: l, name: c.name, right: c.name == "dB", press: press, word: canvas.NewText("", nil), under: canvas.NewRectangle(nil)}
	h.ExtendBaseWidget(h)
	return h
}

// Tapped orders the list.
func (h *columnHead) Tapped(*fyne.PointEvent) { h.press() }

// TypedKey orders the list on Enter and passes all other keys on.
func (h *columnHead) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		h.press()
	default:
		if h.look.keys != nil {
			h.look.keys(e)
		}
	}
}

// TypedRune does nothing: the keys are enough.
func (h *columnHead) TypedRune(rune) {}

// FocusGained draws the line under the name.
func (h *columnHead) FocusGained() { h.active = true; h.Refresh() }

// FocusLost takes the line away.
func (h *columnHead) FocusLost() { h.active = false; h.Refresh() }

// Cursor shows that the head can be pressed.
func (h *columnHead) Cursor() desktop.Cursor { return desktop.PointerCursor }

// set shows whether, and which way, the list is ordered by the column.
func (h *columnHead) set(by, backwards bool) {
	arrow := ""
	if by {
		arrow = " ↓"
		if backwards {
			arrow = " ↑"
		}
	}
	if h.arrow != arrow {
		h.arrow = arrow
		h.Refresh()
	}
}

// CreateRenderer makes the word and the line of the focus.
func (h *columnHead) CreateRenderer() fyne.WidgetRenderer {
	r := &columnHeadRenderer{h}
	r.Refresh()
	return r
}

type columnHeadRenderer struct{ h *columnHead }

func (r *columnHeadRenderer) Destroy()           {}
func (r *columnHeadRenderer) MinSize() fyne.Size { return r.h.word.MinSize() }

func (r *columnHeadRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.h.word, r.h.under}
}

func (r *columnHeadRenderer) Layout(s fyne.Size) {
	m := r.h.word.MinSize()
	x := float32(0)
	if r.h.right {
		x = s.Width - m.Width
	}
	r.h.word.Move(fyne.NewPos(x, (s.Height-m.Height)/2))
	r.h.word.Resize(m)
	r.h.under.Move(fyne.NewPos(x, s.Height-1))
	r.h.under.Resize(fyne.NewSize(m.Width, 2))
}

func (r *columnHeadRenderer) Refresh() {
	h := r.h
	_, h.word.TextStyle, h.word.Color = h.look.style(roleTitle)
	h.word.Text, h.word.TextSize = h.name+h.arrow, textSmall+0.5
	if h.arrow != "" {
		h.word.Color = h.look.Ink
	}
	h.under.FillColor, h.under.Hidden = h.look.Ink, !h.active
	r.Layout(h.Size())
	canvas.Refresh(h)
}
