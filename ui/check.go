package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"

	"stillroom/app/desk"
)

// check is a box to tick in a form. Space ticks it; all other keys go on to the window,
// so that Enter uses the form and Esc leaves it.
type check struct {
	widget.Check
	keys func(*fyne.KeyEvent)
}

func newCheck(s *shell, label string, on bool, changed func(bool)) *check {
	c := &check{keys: s.key}
	c.Text, c.Checked = label, on
	c.OnChanged = changed
	c.ExtendBaseWidget(c)
	return c
}

// TypedKey passes all keys but Space on.
func (c *check) TypedKey(e *fyne.KeyEvent) {
	if e.Name != fyne.KeySpace { // the box ticks on the rune of it
		c.keys(e)
	}
}

// checks are boxes to tick, of which the chosen ones are known by their IDs.
type checks struct {
	on    map[string]bool
	boxes []fyne.CanvasObject
	order []string
}

func newChecks(s *shell, list []desk.Choice, on ...string) *checks {
	c := &checks{on: map[string]bool{}}
	for _, id := range on {
		c.on[id] = true
	}
	for _, one := range list {
		c.order = append(c.order, one.ID)
		c.boxes = append(c.boxes, newCheck(s, one.Label, c.on[one.ID], func(ticked bool) { c.on[one.ID] = ticked }))
	}
	return c
}

// ids are the ticked ones in the order of the list.
func (c *checks) ids() []string {
	var out []string
	for _, id := range c.order {
		if c.on[id] {
			out = append(out, id)
		}
	}
	return out
}

// said is a line of a form that only tells what is wrong with what is chosen in it.
func said(s *shell) *field {
	f := newField(s, "", 520)
	f.box = newColumn(0, 520, f.error)
	return f
}
