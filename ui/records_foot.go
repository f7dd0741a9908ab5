package ui

import (
	"fmt"

	"fyne.io/fyne/v2"

	"stillroom/app/desk"
)

// recordsFoot stands under the list: how much was found, how much of it is selected
// and what can be done with it, where the records are, and the keys.
type recordsFoot struct {
	box      *fyne.Container
	top      *fyne.Container
	count    *line
	selected *line
	tag      *fyne.Container
	clear    *fyne.Container
	keys     *line
}

func newRecordsFoot(v *recordsView) *recordsFoot {
	s := v.shell
	f := &recordsFoot{count: newLine(s.look, roleSecond, ""), selected: newLine(s.look, roleStrong, "")}
	f.tag = linkRow(newTextLink(s.look, "Tag …", v.openTags))
	f.clear = linkRow(newTextLink(s.look, "Select none", func() { s.desk.SelectNothing() }))
	f.top = newRow(18, f.count, f.selected, f.tag, f.clear)
	f.keys = newFlexLine(s.look, roleCaption, "").right()
	f.box = newColumn(3, 400, f.top, newStretchRow(16, 1, newLine(s.look, roleCaption, s.desk.RecordsLine()), f.keys))
	return f
}

func (f *recordsFoot) show(l desk.Listing) {
	f.count.set(l.CountLine())
	f.selected.set(l.SelectedLine())
	for _, o := range []fyne.CanvasObject{f.selected, f.tag, f.clear} {
		hide(o, len(l.Selected) == 0)
	}
	if l.Asked.Deleted {
		f.keys.set("F find · X select · Shift+↑↓ range · Ctrl+A all · R bring back")
	} else {
		f.keys.set("F find · X select · Shift+↑↓ range · Ctrl+A all · T tag · N note · S status · Del delete · Ctrl+Z back")
	}
	f.top.Refresh()
	f.box.Refresh()
}

// times is how many things a key acts on, where they are several: " 3".
func times(n int) string {
	if n < 2 {
		return ""
	}
	return fmt.Sprintf(" %d", n)
}
