package ui

import "fyne.io/fyne/v2"

// zoomStep is how much more or less a press on + or − shows.
const zoomStep = 0.7

// key moves the cursor, chooses traces and acts on the chosen one. What opens a form does
// so after the key is done, so that its letter is not typed there.
func (v *compareView) key(e *fyne.KeyEvent) bool {
	if n, ok := map[fyne.KeyName]int{fyne.KeyLeft: -1, fyne.KeyRight: 1, fyne.KeyPageDown: -8, fyne.KeyPageUp: 8}[e.Name]; ok {
		v.charts.step(n)
		return true
	}
	if n, ok := map[fyne.KeyName]int{fyne.KeyUp: -1, fyne.KeyDown: 1}[e.Name]; ok {
		v.walk(n)
		return true
	}
	if do, ok := v.traceKeys()[e.Name]; ok {
		if v.table.State().Chosen != "" {
			do()
		}
		return true
	}
	do, known := v.boardKeys()[e.Name]
	if known {
		do()
	}
	return known
}

// traceKeys act on the chosen trace.
func (v *compareView) traceKeys() map[fyne.KeyName]func() {
	chosen := v.table.State().Chosen
	return map[fyne.KeyName]func(){
		fyne.KeyH: func() { v.table.ToggleSeen(chosen) }, fyne.KeyR: func() { v.table.Refer(chosen) },
		fyne.KeyDelete: func() { v.table.Remove(chosen) },
		fyne.KeyReturn: v.later(v.openTrace), fyne.KeyEnter: v.later(v.openTrace),
	}
}

// boardKeys act on the board and its charts.
func (v *compareView) boardKeys() map[fyne.KeyName]func() {
	return map[fyne.KeyName]func(){
		fyne.KeyPlus: func() { v.charts.zoom(zoomStep) }, fyne.KeyEqual: func() { v.charts.zoom(zoomStep) },
		fyne.KeyMinus: func() { v.charts.zoom(1 / zoomStep) }, fyne.Key0: v.charts.reset,
		fyne.KeyS: v.later(v.save), fyne.KeyO: v.openBoards, fyne.KeyB: v.later(v.openName),
		fyne.KeyL: v.later(v.openAlign), fyne.KeyG: v.later(v.openGate), fyne.KeyM: v.later(v.heads.openSmoothing),
		fyne.KeyA: v.later(v.openAdd), fyne.KeyC: v.later(v.openCombine), fyne.KeyV: v.later(v.openCharts), fyne.KeyT: v.later(v.openTarget),
		fyne.KeyE: v.later(v.openExport), fyne.KeyP: v.copyPicture,
		fyne.KeyN: v.later(func() { v.side.reveal(v.side.notes); v.shell.window.Canvas().Focus(v.side.notes) }),
	}
}

// later does a thing after the key is done.
func (v *compareView) later(do func()) func() { return func() { v.shell.hop.run(do) } }

// walk chooses another trace; with Shift the chosen one goes up or down the list.
func (v *compareView) walk(by int) {
	if v.modifiers()&fyne.KeyModifierShift != 0 {
		v.table.Move(v.table.State().Chosen, by)
		return
	}
	v.table.ChooseNext(by)
}
