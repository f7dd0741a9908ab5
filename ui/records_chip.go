package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"stillroom/app/desk"
)

// filterChip is one filter of the list. A press, or Enter or Down while it has the
// focus, opens what it can be set to; all other keys go on to the window.
type filterChip struct {
	widget.BaseWidget
	view            *recordsView
	filter          desk.Filter
	long, short     string
	on, terse       bool
	hovered, active bool

	ground *canvas.Rectangle
	text   *canvas.Text
}

func newFilterChip(v *recordsView, f desk.Filter) *filterChip {
	c := &filterChip{view: v, filter: f, ground: canvas.NewRectangle(nil), text: canvas.NewText("", nil)}
	c.ExtendBaseWidget(c)
	return c
}

// set shows what the filter is set to.
func (c *filterChip) set(s desk.Search) {
	long, short, on := s.FilterText(c.filter)
	if long != c.long || short != c.short || on != c.on {
		c.long, c.short, c.on = long, short, on
		c.Refresh()
	}
}

// width is the room that the chip takes with its long or its short text.
func (c *filterChip) width(terse bool) float32 {
	text := c.long
	if terse {
		text = c.short
	}
	return min(fyne.MeasureText(text, textSmall+0.5, fyne.TextStyle{}).Width, longestChip) + 22
}

const (
	longestChip = 150
	chipHeight  = 26
)

// Tapped opens what the filter can be set to. What is either on or off is changed.
func (c *filterChip) Tapped(*fyne.PointEvent) {
	s := c.view.shell
	s.desk.Silence() // an open list takes Esc for itself
	list, id := s.desk.State().FilterChoices(c.filter)
	if c.filter == desk.DeletedFilter {
		c.view.filter(c.filter, map[string]string{"": "on", "on": ""}[id])
		return
	}
	menu := fyne.NewMenu("")
	for _, one := range list {
		item := fyne.NewMenuItem(one.Label, func() { c.view.filter(c.filter, one.ID) })
		item.Checked = one.ID == id
		menu.Items = append(menu.Items, item)
	}
	pop := widget.NewPopUpMenu(menu, s.window.Canvas())
	at := s.app.Driver().AbsolutePositionForObject(c)
	room := s.window.Canvas().Size().Height - at.Y - 2*chipHeight
	pop.Resize(pop.MinSize().Min(fyne.NewSize(360, room)))
	pop.ShowAtPosition(at.AddXY(0, c.Size().Height+4))
	pop.ActivateNext()
}

// TypedKey opens the choices on Enter and Down and passes all other keys on.
func (c *filterChip) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeyDown:
		c.Tapped(nil)
	default:
		c.view.shell.key(e)
	}
}

// TypedRune does nothing: the keys are enough.
func (c *filterChip) TypedRune(rune) {}

// FocusGained draws the ring around the chip.
func (c *filterChip) FocusGained() { c.active = true; c.Refresh() }

// FocusLost takes the ring away.
func (c *filterChip) FocusLost() { c.active = false; c.Refresh() }

// MouseIn, MouseMoved and MouseOut tint the chip under the pointer.
func (c *filterChip) MouseIn(*desktop.MouseEvent) { c.hovered = true; c.Refresh() }

// MouseMoved is not used.
func (c *filterChip) MouseMoved(*desktop.MouseEvent) {}

// MouseOut takes the tint away.
func (c *filterChip) MouseOut() { c.hovered = false; c.Refresh() }

// Cursor shows that the chip can be pressed.
func (c *filterChip) Cursor() desktop.Cursor { return desktop.PointerCursor }

// CreateRenderer makes ground and text.
func (c *filterChip) CreateRenderer() fyne.WidgetRenderer {
	r := &chipRenderer{c}
	r.Refresh()
	return r
}

type chipRenderer struct{ c *filterChip }

func (r *chipRenderer) Destroy() {}

func (r *chipRenderer) MinSize() fyne.Size {
	return fyne.NewSize(r.c.width(r.c.terse), chipHeight)
}

func (r *chipRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.c.ground, r.c.text}
}

func (r *chipRenderer) Layout(s fyne.Size) {
	r.c.ground.Resize(s)
	m := r.c.text.MinSize()
	r.c.text.Move(fyne.NewPos((s.Width-m.Width)/2, (s.Height-m.Height)/2))
	r.c.text.Resize(m)
}

func (r *chipRenderer) Refresh() {
	c, l := r.c, r.c.view.shell.look
	text := c.long
	if c.terse {
		text = c.short
	}
	c.text.TextSize, c.text.Color = textSmall+0.5, l.Ink
	c.text.Text = shorten(text, longestChip+0.5, c.text.TextSize, fyne.TextStyle{})
	c.ground.CornerRadius, c.ground.StrokeWidth = chipHeight/2, 1
	c.ground.FillColor, c.ground.StrokeColor = l.Panel, l.field
	switch {
	case c.on:
		c.ground.FillColor, c.ground.StrokeColor = l.accentSoft, l.Accent
	case c.hovered:
		c.ground.FillColor = l.hover
	}
	if c.active {
		c.ground.StrokeColor, c.ground.StrokeWidth = l.Ink, 2
	}
	r.Layout(c.Size())
	canvas.Refresh(c)
}
