package ui

import (
	"context"
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"stillroom/app/desk"
)

// recordsView is the room of what is kept.
type recordsView struct {
	shell *shell
	heads *recordsHead
	list  *recordList
	names []*columnHead
	table *fyne.Container
	empty *paragraph
	side  *recordsSide
	foot  *recordsFoot
	all   *fyne.Container

	looked    string    // ID of the take whose details were asked for
	traced    [4]string // what a script was told last
	modifiers func() fyne.KeyModifier
}

func newRecordsRoom(s *shell) *recordsView {
	v := &recordsView{shell: s, modifiers: func() fyne.KeyModifier { return 0 }}
	if d, ok := s.app.Driver().(desktop.Driver); ok {
		v.modifiers = d.CurrentKeyModifiers
	}
	v.heads, v.list, v.side, v.foot = newRecordsHead(v), newRecordList(v), newRecordsSide(v), newRecordsFoot(v)
	v.empty = newParagraph(s.look, roleSecond, "", "", 600)
	v.table = &fyne.Container{Layout: &underHead{34}, Objects: []fyne.CanvasObject{
		newInset(boxWidth, 0, 8+scrollBarWidth, 0, v.columnHeads()), newHairline(s.look), newInset(1, 0, 1, 6, v.list), newInset(40, 40, 40, 40, v.empty)}}
	sheet := &fyne.Container{Layout: &asHigh{v}, Objects: []fyne.CanvasObject{newCard(s.look, v.table), v.foot.box}}
	v.all = &fyne.Container{Layout: &panelRight{}, Objects: []fyne.CanvasObject{newInset(gap+1, 12, 12, 10, sheet), v.side.box}}
	s.window.Canvas().AddShortcut(&fyne.ShortcutSelectAll{}, func(fyne.Shortcut) { v.selectAll() })
	s.run(s.desk.Follow)
	s.run(s.desk.FollowSpool)
	return v
}

func (v *recordsView) name() string            { return "Records" }
func (v *recordsView) icon() string            { return "records" }
func (v *recordsView) head() fyne.CanvasObject { return v.heads.box }
func (v *recordsView) body() fyne.CanvasObject { return v.all }

// columnHeads are the names of the columns, each ordering the list by it.
func (v *recordsView) columnHeads() fyne.CanvasObject {
	var heads []fyne.CanvasObject
	for _, c := range recordColumns() {
		if !c.orders {
			heads = append(heads, newFlexLine(v.shell.look, roleTitle, c.name))
			continue
		}
		head := newColumnHead(v.shell.look, c, func() { v.ask(func(s *desk.Search) { s.SortBy(c.order) }) })
		v.names = append(v.names, head)
		heads = append(heads, head)
	}
	return &fyne.Container{Layout: columnLayout{}, Objects: heads}
}

// underHead puts a head above a list, with a hairline between them.
type underHead struct{ head float32 }

func (underHead) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, 200) }

func (u *underHead) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Resize(fyne.NewSize(s.Width, u.head))
	o[1].Move(fyne.NewPos(0, u.head))
	o[1].Resize(fyne.NewSize(s.Width, 1))
	for _, below := range o[2:] {
		below.Move(fyne.NewPos(0, u.head+1))
		below.Resize(fyne.NewSize(s.Width, s.Height-u.head-1))
	}
}

// asHigh gives the table the height of its rows, as far as there is room, and
// puts the foot below it.
type asHigh struct{ v *recordsView }

func (asHigh) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, 200) }

func (a asHigh) Layout(o []fyne.CanvasObject, s fyne.Size) {
	foot := o[1].MinSize().Height
	h := 34 + 1 + 7 + float32(min(a.v.list.listing.Len(), 1000))*recordHeight
	if a.v.list.listing.Len() == 0 {
		h = 160
	}
	h = min(h, s.Height-foot-10)
	o[0].Resize(fyne.NewSize(s.Width, h))
	o[1].Move(fyne.NewPos(3, h+10))
	o[1].Resize(fyne.NewSize(s.Width-6, foot))
}

// show brings the room up to date.
func (v *recordsView) show(s desk.State, t desk.Topic) {
	if t&desk.RecordsTopic == 0 {
		return
	}
	l := s.Listing
	length := v.list.listing.Len()
	v.list.set(l)
	v.heads.show(l, v.shell.desk.CanCompare())
	i := 0
	for _, c := range recordColumns() {
		if c.orders {
			v.names[i].set(c.order == l.Asked.Sort, l.Asked.Backwards)
			i++
		}
	}
	v.empty.set("", l.EmptyLine())
	v.foot.show(l)
	v.side.show(l, s.Detail)
	if length != l.Len() {
		v.all.Refresh()
	}
	v.lookUp(l)
	v.traceRecords(l, s.Detail)
}

// lookUp asks for the details of a take that was not looked at before.
func (v *recordsView) lookUp(l desk.Listing) {
	if l.Chosen.ID != v.looked {
		v.looked = l.Chosen.ID
		v.shell.run(v.shell.desk.LoadDetail)
	}
}

// traceRecords writes what a script may wait for.
func (v *recordsView) traceRecords(l desk.Listing, d desk.Detail) {
	now := [...][2]string{{"found-takes", quoted(l.CountLine())}, {"selected", fmt.Sprint(len(l.Selected))},
		{"looks-at", quoted(l.Chosen.ID)}, {"unit-status", quoted(string(d.Unit.Status))}}
	for i, one := range now {
		if v.traced[i] != one[1] {
			v.traced[i] = one[1]
			v.shell.trace.line(one[0], one[1])
		}
	}
}

// ask changes what is looked for, and looks.
func (v *recordsView) ask(alter func(*desk.Search)) {
	v.shell.desk.Ask(alter)
	v.shell.run(v.shell.desk.Answer)
}

func (v *recordsView) goTo(row int) { v.shell.desk.GoTo(row) }

func (v *recordsView) toggle(row int) { v.shell.desk.Toggle(row) }

// selectTo selects a range. Where all its rows are held that is done at once, so that
// keys that are held down do not overtake each other.
func (v *recordsView) selectTo(row int) {
	s := v.shell
	if l := s.desk.State().Listing; l.HoldsRange(row) {
		_ = s.desk.SelectTo(s.ctx, row) // nothing is read, so nothing fails
		return
	}
	s.run(func(ctx context.Context) error { return s.desk.SelectTo(ctx, row) })
}

func (v *recordsView) selectAll() {
	if v.shell.shown == recordsRoom && v.shell.sheet == nil {
		v.shell.run(v.shell.desk.SelectAll)
	}
}

func (v *recordsView) openChosen() {
	s := v.shell
	l := s.desk.State().Listing
	if l.Asked.Deleted {
		v.restoreTargets()
		return
	}
	if id := l.Chosen.ID; id != "" {
		s.enter(takeRoom)
		s.run(func(ctx context.Context) error { return s.desk.Open(ctx, id) })
	}
}

func (v *recordsView) removeTargets() {
	s := v.shell
	if l := s.desk.State().Listing; !l.Asked.Deleted {
		s.run(func(ctx context.Context) error { return s.desk.Delete(ctx, l.Targets()...) })
	}
}

func (v *recordsView) restoreTargets() {
	s := v.shell
	if l := s.desk.State().Listing; l.Asked.Deleted {
		s.run(func(ctx context.Context) error { return s.desk.Restore(ctx, l.Targets()...) })
	}
}

func (v *recordsView) compare() {
	s := v.shell
	ids := s.desk.State().Listing.Selected
	if s.desk.CanCompare() && len(ids) > 1 {
		s.run(func(ctx context.Context) error { return s.desk.CompareTakes(ctx, ids) })
	}
}

// leave ends the selection by Esc; false where nothing was selected.
func (v *recordsView) leave() bool { return v.shell.desk.SelectNothing() }
