package ui

import "fyne.io/fyne/v2"

// key walks through the list, selects, and acts on what is selected. Space is not among
// its keys: it measures, here as everywhere. What is typed in comes up after the key is
// done, so that its letter is not typed there.
func (v *recordsView) key(e *fyne.KeyEvent) bool {
	if v.walk(e.Name) {
		return true
	}
	does := map[fyne.KeyName]func(){
		fyne.KeyReturn: v.openChosen, fyne.KeyEnter: v.openChosen,
		fyne.KeyDelete: v.removeTargets, fyne.KeyR: v.restoreTargets,
		fyne.KeyX: v.toggleHere, fyne.KeyInsert: v.toggleHere,
		fyne.KeyT: func() { v.shell.hop.run(v.openTags) }, fyne.KeyC: v.compare,
		fyne.KeyF: func() { v.focus(v.heads.find) },
		fyne.KeyN: func() { v.side.reveal(v.side.notes.box); v.focus(v.side.notes.add) },
		fyne.KeyS: func() { v.side.reveal(v.side.status.box); v.focus(v.side.status.drop) },
	}
	do, known := does[e.Name]
	if known {
		do()
	}
	return known
}

// walk moves through the list; with Shift it selects all on the way.
func (v *recordsView) walk(key fyne.KeyName) bool {
	l := v.shell.desk.State().Listing
	steps := map[fyne.KeyName]int{fyne.KeyUp: -1, fyne.KeyDown: 1, fyne.KeyPageUp: -v.list.page(), fyne.KeyPageDown: v.list.page(),
		fyne.KeyHome: -l.Len(), fyne.KeyEnd: l.Len()}
	by, known := steps[key]
	if !known || l.Len() == 0 {
		return known
	}
	row := max(min(l.At+by, l.Len()-1), 0)
	if v.modifiers()&fyne.KeyModifierShift != 0 {
		v.selectTo(row)
	} else {
		v.goTo(row)
	}
	v.list.reveal(row)
	return true
}

// toggleHere selects the row that is looked at, or no longer.
func (v *recordsView) toggleHere() {
	if l := v.shell.desk.State().Listing; l.At >= 0 {
		v.toggle(l.At)
	}
}

// focus goes to something to type in or to choose from, where it is shown.
func (v *recordsView) focus(o fyne.Focusable) {
	if o.(fyne.CanvasObject).Visible() {
		v.shell.hop.run(func() { v.shell.window.Canvas().Focus(o) })
	}
}
