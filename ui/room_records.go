package ui

import (
	"context"
	"image/color"
	"slices"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"stillroom/app/chart"
	"stillroom/app/desk"
)

// recordsView is the room of what is kept.
type recordsView struct {
	shell  *shell
	find   *entry
	typing *time.Timer
	count  *line
	heads  *fyne.Container
	bodies fyne.CanvasObject

	list   *widget.List
	rows   []desk.Entry
	chosen string // ID
	empty  *paragraph

	title   *line
	axis    *link
	small   *chartView
	picture *fyne.Container
	details *readings
	note    *paragraph
	open    *button
	remove  *button
	side    *fyne.Container
}

func newRecordsRoom(s *shell) *recordsView {
	v := &recordsView{shell: s}
	v.buildHead()
	v.buildList()
	v.buildSide()
	table := &fyne.Container{Layout: &underHead{34}, Objects: []fyne.CanvasObject{
		newInset(14, 0, 14, 0, newTableHead(s.look)), newHairline(s.look), newInset(1, 0, 1, 6, v.list), newInset(40, 40, 40, 40, v.empty)}}
	v.bodies = &fyne.Container{Layout: &panelRight{}, Objects: []fyne.CanvasObject{
		newInset(gap+1, 12, 12, 12, &fyne.Container{Layout: &asHigh{v}, Objects: []fyne.CanvasObject{newCard(s.look, table), v.count}}), v.side}}
	return v
}

func (v *recordsView) name() string            { return "Records" }
func (v *recordsView) icon() string            { return "records" }
func (v *recordsView) head() fyne.CanvasObject { return v.heads }
func (v *recordsView) body() fyne.CanvasObject { return v.bodies }

// searchPause is how long typing rests before the records are searched.
const searchPause = 150 * time.Millisecond

func (v *recordsView) buildHead() {
	s := v.shell
	v.find = s.entry()
	v.find.SetPlaceHolder("Find model, serial, batch, person, note")
	v.find.OnChanged = func(text string) {
		if v.typing != nil {
			v.typing.Stop()
		}
		v.typing = time.AfterFunc(searchPause, func() {
			s.hop.run(func() { s.run(func(ctx context.Context) error { return s.desk.Search(ctx, text) }) })
		})
	}
	v.find.OnSubmitted = func(string) { s.window.Canvas().Unfocus() }
	v.count = newFlexLine(s.look, roleSecond, "")
	keys := newLine(s.look, roleCaption, "Enter opens, Del removes, Ctrl+Z brings back")
	v.heads = newStretchRow(16, 1, &fyne.Container{Layout: &wide{370}, Objects: []fyne.CanvasObject{v.find}}, spacer(0, 0), keys)
}

func (v *recordsView) buildList() {
	v.list = widget.NewList(
		func() int { return len(v.rows) },
		func() fyne.CanvasObject { return newRecordRow(v) },
		func(i widget.ListItemID, o fyne.CanvasObject) {
			o.(*recordRow).set(v.rows[i], v.rows[i].ID == v.chosen)
		},
	)
	v.list.HideSeparators = true
	v.empty = newParagraph(v.shell.look, roleSecond, "", "", 600)
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
// puts the count below it.
type asHigh struct{ v *recordsView }

func (asHigh) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, 200) }

func (a asHigh) Layout(o []fyne.CanvasObject, s fyne.Size) {
	count := o[1].MinSize().Height
	h := float32(34 + 1 + 7 + len(a.v.rows)*(recordHeight+4))
	if len(a.v.rows) == 0 {
		h = 160
	}
	h = min(h, s.Height-count-10)
	o[0].Resize(fyne.NewSize(s.Width, h))
	o[1].Move(fyne.NewPos(3, h+10))
	o[1].Resize(fyne.NewSize(s.Width-3, count))
}

func (v *recordsView) buildSide() {
	s := v.shell
	v.title = newFlexLine(s.look, roleTitle, "")
	v.axis = newLink(nil, nil)
	v.small = newChartView(s.look, v.axis)
	card := newPlate(6, 0, func() (color.Color, color.Color) { return s.look.Card, color.Transparent })
	v.picture = &fyne.Container{Layout: &tall{170}, Objects: []fyne.CanvasObject{newOverlaid(card, v.small)}}
	v.details = newReadings(s.look, "")
	v.note = newParagraph(s.look, roleSecond, "", "", panelWidth-40)
	v.open = s.primary("Open", "Enter", v.openChosen)
	v.remove = s.secondary("Remove", v.removeChosen)
	v.side = newSidePanel(s.look)
	lists := newColumn(12, panelWidth-32, v.title, v.picture, v.details.box, v.note)
	fillSidePanel(v.side, container.NewVScroll(newInset(0, 0, 10, 8, lists)), newStretchRow(8, 0, v.open, v.remove))
}

// tall gives objects a fixed height.
type tall struct{ height float32 }

func (t *tall) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(100, t.height) }

func (t *tall) Layout(o []fyne.CanvasObject, s fyne.Size) {
	for _, x := range o {
		x.Resize(s)
	}
}

// show brings the room up to date.
func (v *recordsView) show(s desk.State, t desk.Topic) {
	if t&desk.RecordsTopic == 0 {
		return
	}
	before := v.index()
	v.rows = s.List
	if v.index() < 0 && len(v.rows) > 0 {
		v.chosen = v.rows[min(max(before, 0), len(v.rows)-1)].ID
	}
	v.count.set(s.CountLine())
	v.empty.set("", s.EmptyLine())
	v.list.Refresh()
	v.bodies.Refresh()
	v.showChosen()
}

// index is the place of the chosen take in the list, -1 where none is chosen.
func (v *recordsView) index() int {
	return slices.IndexFunc(v.rows, func(e desk.Entry) bool { return e.ID == v.chosen })
}

func (v *recordsView) choose(id string) {
	v.chosen = id
	v.list.Refresh()
	v.showChosen()
}

// showChosen tells the details of the chosen take.
func (v *recordsView) showChosen() {
	i := v.index()
	on := i >= 0
	v.open.enable(on)
	v.remove.enable(on)
	v.picture.Hidden, v.details.box.Hidden = !on, !on
	if !on {
		v.title.set("No take chosen")
		v.note.set("", "")
		v.small.set(chart.Chart{})
		v.side.Refresh()
		return
	}
	e := v.rows[i]
	v.title.set(e.Title())
	v.small.set(e.Chart())
	v.details.set("Details", e.Rows())
	v.note.set("", e.Note())
	v.side.Refresh()
}

func (v *recordsView) openChosen() {
	if i := v.index(); i >= 0 {
		id := v.rows[i].ID
		v.shell.enter(takeRoom)
		v.shell.run(func(ctx context.Context) error { return v.shell.desk.Open(ctx, id) })
	}
}

func (v *recordsView) removeChosen() {
	if i := v.index(); i >= 0 {
		id := v.rows[i].ID
		v.shell.run(func(ctx context.Context) error { return v.shell.desk.Delete(ctx, id) })
	}
}

// key walks through the list, opens and removes.
func (v *recordsView) key(e *fyne.KeyEvent) bool {
	switch e.Name {
	case fyne.KeyUp:
		v.walk(-1)
	case fyne.KeyDown:
		v.walk(1)
	case fyne.KeyReturn, fyne.KeyEnter:
		v.openChosen()
	case fyne.KeyDelete:
		v.removeChosen()
	default:
		return false
	}
	return true
}

func (v *recordsView) walk(by int) {
	if len(v.rows) == 0 {
		return
	}
	i := min(max(v.index()+by, 0), len(v.rows)-1)
	v.choose(v.rows[i].ID)
	v.list.ScrollTo(i)
}
