package ui

import (
	"image/color"

	"fyne.io/fyne/v2"

	"stillroom/app/desk"
)

// choice is a list to choose one thing from, with a caption above it.
type choice struct {
	box    *fyne.Container
	edged  *fyne.Container // the list alone, without its caption
	drop   *dropList
	list   []desk.Choice
	quiet  bool // the program itself is changing what is shown
	chosen func(id string)
}

func newChoice(s *shell, caption string, chosen func(id string)) *choice {
	c := &choice{chosen: chosen}
	c.drop = newDropList(s, func(label string) {
		s.window.Canvas().Unfocus()
		for _, o := range c.list {
			if o.Label == label && !c.quiet {
				c.chosen(o.ID)
			}
		}
	})
	c.edged = newOverlaid(newPlate(fieldRadius, 1, func() (color.Color, color.Color) { return s.look.Card, s.look.field }), newInset(1, 1, 1, 1, c.drop))
	c.box = newColumn(5, 200, newLine(s.look, roleCaption, caption), c.edged)
	return c
}

// set shows the list with one entry chosen.
func (c *choice) set(list []desk.Choice, id string) {
	c.list = list
	c.drop.Options = nil
	selected := ""
	for _, o := range list {
		c.drop.Options = append(c.drop.Options, o.Label)
		if o.ID == id {
			selected = o.Label
		}
	}
	if c.drop.Selected == selected {
		c.drop.Refresh()
		return
	}
	c.quiet = true
	c.drop.Selected = selected
	c.drop.Refresh()
	c.quiet = false
}
