package ui

import (
	"context"
	"image/color"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"stillroom/app/chart"
	"stillroom/app/desk"
	"stillroom/app/records"
)

// recordsSide is the panel at the right of the list: the take that is looked at, its
// unit, what was noted and what happened.
type recordsSide struct {
	view    *recordsView
	box     *fyne.Container
	title   *line
	small   *chartView
	picture *fyne.Container
	details *readings
	status  *choice
	notes   *notesBox
	history *historyBox
	open    *button
	remove  *button
	foot    *fyne.Container
	lists   *fyne.Container
	scroll  *container.Scroll
	chart   string // ID of the take whose chart is shown
}

func newRecordsSide(v *recordsView) *recordsSide {
	s := v.shell
	p := &recordsSide{view: v, title: newFlexLine(s.look, roleTitle, "")}
	p.small = newChartView(s.look, newLink(nil, nil))
	card := newPlate(6, 0, func() (color.Color, color.Color) { return s.look.Card, color.Transparent })
	p.picture = &fyne.Container{Layout: &tall{160}, Objects: []fyne.CanvasObject{newOverlaid(card, p.small)}}
	p.details = newReadings(s.look, "")
	p.status = newChoice(s, "Status of this unit", func(id string) {
		s.run(func(ctx context.Context) error { return s.desk.SetStatus(ctx, records.Status(id)) })
	})
	p.notes, p.history = newNotesBox(v), newHistoryBox(s.look)
	p.open = s.primary("Open", "Enter", v.openChosen)
	p.remove = s.secondary("Delete", v.removeTargets)
	p.box = newSidePanel(s.look)
	p.lists = newColumn(14, panelWidth-32, p.title, p.picture, p.details.box, p.status.box, p.notes.box, p.history.box)
	p.foot = newStretchRow(8, 0, p.open, p.remove)
	p.scroll = container.NewVScroll(newInset(0, 0, 10, 8, p.lists))
	fillSidePanel(p.box, p.scroll, p.foot)
	return p
}

// reveal scrolls to a part of the panel, as little as needed.
func (p *recordsSide) reveal(part *fyne.Container) {
	top := part.Position().Y
	bottom := top + part.Size().Height
	p.scroll.ScrollToOffset(fyne.NewPos(0, max(min(p.scroll.Offset.Y, top), bottom-p.scroll.Size().Height)))
}

// tall gives objects a fixed height.
type tall struct{ height float32 }

func (t *tall) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(100, t.height) }

func (t *tall) Layout(o []fyne.CanvasObject, s fyne.Size) {
	for _, x := range o {
		x.Resize(s)
	}
}

// show tells of the take that is looked at; what has to be read first follows.
func (p *recordsSide) show(l desk.Listing, d desk.Detail) {
	e := l.Chosen
	if d.Entry.ID != e.ID {
		d = desk.Detail{Entry: e}
	}
	d.Entry = e
	on := e.ID != ""
	for _, o := range []fyne.CanvasObject{p.picture, p.details.box, p.notes.box} {
		hide(o, !on)
	}
	hide(p.history.box, !on || len(d.History) == 0)
	hide(p.status.box, d.Unit.Version == 0)
	p.title.set(d.Title())
	p.status.set(desk.StatusChoices(), string(d.Unit.Status))
	p.showKeys(l, on)
	if on {
		p.showChart(e)
		p.details.set("Details", d.Rows())
		p.notes.set(e.Note(), d.Notes, l.Asked.Deleted)
		p.history.set(d.History, d.Earlier)
	}
	p.lists.Refresh()
	p.box.Refresh()
}

func (p *recordsSide) showKeys(l desk.Listing, on bool) {
	if l.Asked.Deleted {
		p.open.set("Bring back"+times(len(l.Selected)), "R", on)
		p.remove.Hide()
	} else {
		p.open.set("Open", "Enter", on)
		p.remove.set("Delete"+times(len(l.Selected)), "", on)
		p.remove.Show()
	}
	p.foot.Refresh()
}

func (p *recordsSide) showChart(e desk.Entry) {
	if p.chart == e.ID {
		return
	}
	p.chart = e.ID
	p.small.set(chart.Chart{})
	p.small.set(e.Chart())
}

// hide hides an object, or shows it.
func hide(o fyne.CanvasObject, hidden bool) {
	if hidden {
		o.Hide()
	} else {
		o.Show()
	}
}

// notesBox lists notes, with a line to add one.
type notesBox struct {
	look *look
	box  *fyne.Container
	list *fyne.Container
	add  *entry
	told []records.NoteEntry
	own  string
}

// mostNotes is how many notes are shown, the newest.
const mostNotes = 6

func newNotesBox(v *recordsView) *notesBox {
	s := v.shell
	n := &notesBox{look: s.look, list: newColumn(7, panelWidth-32), add: s.entry()}
	n.add.SetPlaceHolder("Add a note, Enter keeps it")
	n.add.OnSubmitted = func(text string) {
		s.window.Canvas().Unfocus()
		s.run(func(ctx context.Context) error {
			if err := s.desk.AddNote(ctx, text); err != nil {
				return err
			}
			s.hop.run(func() { n.add.SetText("") })
			return nil
		})
	}
	n.box = newColumn(7, panelWidth-32, newLine(s.look, roleTitle, "Notes"), n.list, n.add)
	return n
}

// set shows what was noted when the take was measured, and the notes after it.
func (n *notesBox) set(own string, notes []records.NoteEntry, readOnly bool) {
	hide(n.add, readOnly)
	if n.own == own && slices.Equal(n.told, notes) {
		return
	}
	n.own, n.told, n.list.Objects = own, notes, nil
	if own != "" {
		n.list.Add(newParagraph(n.look, roleBody, "", own, panelWidth-42))
	}
	for _, note := range notes[max(len(notes)-mostNotes, 0):] {
		n.list.Add(newParagraph(n.look, roleBody, "", note.Text, panelWidth-42))
		n.list.Add(newLine(n.look, roleCaption, desk.Signed(note)))
	}
}

// historyBox lists what happened, the newest first.
type historyBox struct {
	look *look
	box  *fyne.Container
	told []desk.HistoryRow
}

func newHistoryBox(l *look) *historyBox {
	return &historyBox{look: l, box: newColumn(8, panelWidth-32, newLine(l, roleTitle, "History"))}
}

func (h *historyBox) set(rows []desk.HistoryRow, earlier int) {
	if slices.Equal(h.told, rows) {
		return
	}
	h.told, h.box.Objects = rows, h.box.Objects[:1:1]
	for _, r := range rows {
		name, ink := "note", verdictColor(h.look, desk.Noted)
		if r.Verdict != "" {
			name, ink = verdictIcon(r.Verdict), verdictColor(h.look, r.Verdict)
		}
		h.box.Add(newSide(22, newIcon(name, 14, ink), newParagraph(h.look, roleBody, "", r.Text, panelWidth-64)))
	}
	if earlier > 0 {
		h.box.Add(newLine(h.look, roleCaption, desk.EarlierText(earlier)))
	}
}
