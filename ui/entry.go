package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// entry is a line to type in. Shortcuts that it does not need itself go on to the
// window, and Esc and Enter too: they work wherever the focus is.
type entry struct {
	widget.Entry
	shortcuts func(fyne.Shortcut)
	escape    func()
	leave     func() // the focus has left, or Enter was pressed
}

func newEntry(shortcuts func(fyne.Shortcut), escape func()) *entry {
	e := &entry{shortcuts: shortcuts, escape: escape}
	e.ExtendBaseWidget(e)
	return e
}

// TypedShortcut keeps the shortcuts of editing and passes the others on.
func (e *entry) TypedShortcut(s fyne.Shortcut) {
	if _, custom := s.(*desktop.CustomShortcut); custom && e.shortcuts != nil {
		e.shortcuts(s)
		return
	}
	e.Entry.TypedShortcut(s)
}

// TypedKey passes Esc on and takes Enter as the end of typing.
func (e *entry) TypedKey(k *fyne.KeyEvent) {
	switch k.Name {
	case fyne.KeyEscape:
		if e.escape != nil {
			e.escape()
		}
	case fyne.KeyReturn, fyne.KeyEnter:
		if e.leave != nil {
			e.leave()
		}
		e.Entry.TypedKey(k)
	default:
		e.Entry.TypedKey(k)
	}
}

// FocusLost takes what was typed.
func (e *entry) FocusLost() {
	e.Entry.FocusLost()
	if e.leave != nil {
		e.leave()
	}
}

// setText shows a text that did not come from the keyboard, unless somebody is
// typing here.
func (e *entry) setText(s string, typing bool) {
	if !typing && e.Text != s {
		e.SetText(s)
	}
}
