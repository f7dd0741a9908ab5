package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// dropList is the toolkit's list to choose from, with the keys of the window:
// Space measures and Esc stops also while it has the focus, and Enter opens it.
// While it is open it takes Esc for itself, so opening it stops what sounds.
type dropList struct {
	widget.Select
	keys    func(*fyne.KeyEvent)
	opening func()
}

func newDropList(s *shell, changed func(string)) *dropList {
	d := &dropList{keys: s.key, opening: s.desk.Silence}
	d.OnChanged = changed
	d.PlaceHolder = "choose"
	d.ExtendBaseWidget(d)
	return d
}

// Tapped opens the list.
func (d *dropList) Tapped(e *fyne.PointEvent) {
	d.opening()
	d.Select.Tapped(e)
}

// TypedKey opens the list on Enter and Down, walks it with Left and Right, and
// passes all other keys on.
func (d *dropList) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeyDown:
		d.Tapped(nil)
	case fyne.KeyLeft, fyne.KeyRight:
		d.Select.TypedKey(e)
	default:
		d.keys(e)
	}
}
