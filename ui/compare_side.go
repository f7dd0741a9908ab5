package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"stillroom/app/comparing"
)

// compareSide is the panel at the right: the traces, their values at the cursor, how near
// they come to the reference, what must be known of them, and notes.
type compareSide struct {
	view      *compareView
	box       *fyne.Container
	lists     *fyne.Container
	title     *line
	traces    *fyne.Container
	rows      []*traceRow
	empty     *paragraph
	cursor    *readings
	closeness *readings
	margins   *readings
	findings  *findings
	notes     *entry
	save      *button
	boards    *button
	combine   *textLink
	scroll    *container.Scroll
}

func newCompareSide(v *compareView) *compareSide {
	s := v.shell
	p := &compareSide{view: v, title: newFlexLine(s.look, roleTitle, ""), traces: newColumn(0, panelWidth-32)}
	p.empty = newParagraph(s.look, roleSecond, "", "Nothing lies on the board yet. Select takes in Records and press Compare there, or lay the take in hand here with C in the Take room.", panelWidth-40)
	p.cursor, p.closeness, p.margins = newReadings(s.look, ""), newReadings(s.look, ""), newReadings(s.look, "")
	p.findings = newFindings(s.look)
	p.findings.head = "Look at this"
	p.notes = s.entry()
	p.notes.MultiLine, p.notes.Wrapping = true, fyne.TextWrapWord
	p.notes.SetMinRowsVisible(4)
	p.notes.SetPlaceHolder("What was seen, what to try next")
	p.notes.leave = p.takeNotes
	p.box = newSidePanel(s.look)
	p.lists = newColumn(17, panelWidth-32, newColumn(6, panelWidth-32, p.title, p.empty, p.traces, p.links()),
		p.cursor.box, p.closeness.box, p.margins.box, p.findings.box, newColumn(7, panelWidth-32, newLine(s.look, roleTitle, "Notes"), container.NewStack(p.notes)))
	p.save = s.primary("Keep board", "S", v.save)
	p.boards = s.secondary("Boards …", v.openBoards)
	p.scroll = container.NewVScroll(newInset(8, 0, 10, 8, p.lists))
	fillSidePanel(p.box, p.scroll, newStretchRow(8, 0, p.save, p.boards))
	return p
}

// links are what changes the list and the charts.
func (p *compareSide) links() fyne.CanvasObject {
	v := p.view
	l := v.shell.look
	p.combine = newTextLink(l, "Combine …", v.openCombine)
	return newInset(0, 3, 0, 0, newRow(12, newTextLink(l, "Add …", v.openAdd), p.combine, newTextLink(l, "Charts …", v.openCharts), newTextLink(l, "Target …", v.openTarget)))
}

// reveal scrolls to a part of the panel, as little as needed.
func (p *compareSide) reveal(o fyne.CanvasObject) {
	at := p.view.shell.app.Driver().AbsolutePositionForObject
	top := at(o).Y - at(p.scroll).Y
	over := top + o.Size().Height + gap - p.scroll.Size().Height
	if over > 0 {
		p.scroll.ScrollToOffset(fyne.NewPos(0, p.scroll.Offset.Y+over))
	} else if top < 0 {
		p.scroll.ScrollToOffset(fyne.NewPos(0, p.scroll.Offset.Y+top-gap))
	}
}

// takeNotes takes over what was typed.
func (p *compareSide) takeNotes() { p.view.table.SetNotes(p.notes.Text) }

func (p *compareSide) show(s comparing.State) {
	p.title.set(s.ListTitle())
	p.showTraces(s.Lines())
	r := s.Result
	p.showCursor(r, p.view.charts.tone.cursor)
	title, rows := r.Closeness()
	p.closeness.set(title, rows)
	hide(p.closeness.box, len(rows) == 0)
	title, rows = r.Margins()
	p.margins.set(title, rows)
	hide(p.margins.box, len(rows) == 0)
	list := r.Findings()
	p.findings.set(list, "")
	hide(p.findings.box, len(list) == 0)
	p.notes.setText(s.Board.Notes, p.view.shell.window.Canvas().Focused() == p.notes)
	p.save.set("Keep board", "S", s.Changed)
	p.lists.Refresh()
	p.box.Refresh()
}

func (p *compareSide) showTraces(lines []comparing.Line) {
	v := p.view
	for len(p.rows) < len(lines) {
		r := newTraceRow(v.shell.look)
		r.choose, r.eye = v.table.Choose, v.table.ToggleSeen
		r.open = func(id string) { v.table.Choose(id); v.openTrace() }
		p.rows = append(p.rows, r)
		p.traces.Add(r)
	}
	for i, r := range p.rows {
		hide(r, i >= len(lines))
		if i < len(lines) {
			r.set(lines[i])
		}
	}
	hide(p.empty, len(lines) > 0)
}

// showCursor tells the values at the cursor.
func (p *compareSide) showCursor(r *comparing.Result, hz float64) {
	title, rows := r.AtCursor(hz)
	p.cursor.set(title, rows)
	hide(p.cursor.box, len(rows) == 0 || len(p.view.charts.tone.views) == 0)
}
