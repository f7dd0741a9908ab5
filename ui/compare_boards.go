package ui

import (
	"context"
	"strings"

	"fyne.io/fyne/v2"

	"stillroom/app/desk"
)

// mostBoards is how many boards are listed at once; typing narrows the list.
const mostBoards = 9

// boardList is the form that lists the kept boards.
type boardList struct {
	view  *compareView
	names []string
	find  *field
	list  *fyne.Container
}

// listBoards shows the kept boards: what is typed narrows them, Enter opens the first.
func (v *compareView) listBoards(names []string) {
	s := v.shell
	b := &boardList{view: v, names: names, find: newField(s, "Name of a kept board", 520), list: newColumn(6, 520)}
	b.find.entry.SetPlaceHolder("type to find one, Enter opens the first")
	b.find.entry.OnChanged = func(string) { b.show() }
	begin := newTextLink(s.look, "Begin a new board", func() { s.sheet.hide(); v.leaveBoard(v.table.Clear) })
	b.show()
	s.openForm("Boards", newColumn(14, 520, spacer(520, 0), b.find.box, b.list, linkRow(begin)), map[string]*field{"Name": b.find}, b.find.entry, b.openFirst)
}

// found are the boards whose names hold what is typed.
func (b *boardList) found() []string {
	var out []string
	for _, n := range b.names {
		if strings.Contains(strings.ToLower(n), strings.ToLower(strings.TrimSpace(b.find.entry.Text))) {
			out = append(out, n)
		}
	}
	return out
}

func (b *boardList) show() {
	s := b.view.shell
	b.list.Objects = nil
	all := b.found()
	for _, name := range all[:min(len(all), mostBoards)] {
		open := newTextLink(s.look, name, func() { s.sheet.hide(); b.view.openBoard(name) })
		open.width = 400
		b.list.Add(newStretchRow(12, 0, newRow(0, open), newTextLink(s.look, "Delete", func() { b.remove(name) })))
	}
	switch {
	case len(b.names) == 0:
		b.list.Add(newLine(s.look, roleSecond, "No board is kept yet."))
	case len(all) == 0:
		b.list.Add(newLine(s.look, roleSecond, "No board is called so."))
	case len(all) > mostBoards:
		b.list.Add(newLine(s.look, roleSecond, "There are more: type a part of the name."))
	}
	b.list.Refresh()
	if s.sheet != nil {
		s.sheet.modal.Resize(s.sheet.modal.MinSize())
	}
}

// openFirst opens the board that is found first.
func (b *boardList) openFirst() []desk.Field {
	all := b.found()
	if len(all) == 0 {
		return []desk.Field{{Name: "Name", Message: "no kept board is called so: type a part of the name of one"}}
	}
	b.view.shell.hop.run(func() { b.view.openBoard(all[0]) })
	return nil
}

// remove asks, and deletes a kept board.
func (b *boardList) remove(name string) {
	s := b.view.shell
	s.sheet.hide()
	s.openQuestion("Delete a board", "The board “"+name+"” is taken out of the records. The takes on it stay.", "Delete it", func() {
		s.run(func(ctx context.Context) error { return b.view.table.Delete(ctx, name) })
	})
}

// openBoard opens a kept board.
func (v *compareView) openBoard(name string) {
	v.leaveBoard(func() { v.shell.run(func(ctx context.Context) error { return v.table.Open(ctx, name) }) })
}

// leaveBoard does what puts another board on the table, after a question where the one
// that lies there has changes that are not kept.
func (v *compareView) leaveBoard(do func()) {
	if !v.table.State().Changed {
		do()
		return
	}
	v.shell.openQuestion("Leave this board", "The board “"+v.table.State().Title()+"” has changes that are not kept. Leave the question and press Keep board to keep them.", "Go on without keeping them", do)
}
