package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"

	"stillroom/app/comparing"
)

// compareHead is the head of the room: the board's name, what holds for all its traces,
// and what is made of them.
type compareHead struct {
	view                   *compareView
	box                    *fyne.Container
	caption                *line
	title                  *pill
	align, smoothing, gate *pill
	average, export        *button
}

func newCompareHead(v *compareView) *compareHead {
	s := v.shell
	h := &compareHead{view: v, caption: newFlexLine(s.look, roleCaption, "Board")}
	h.title = newTitlePill(s, v.openName)
	h.align = newPill(s, v.openAlign)
	h.smoothing = newPill(s, h.openSmoothing)
	h.gate = newPill(s, v.openGate)
	h.average, h.export = s.secondary("Average", v.openAverage), s.secondary("Export", v.openExport)
	h.box = newStretchRow(12, 0, newColumn(1, 120, h.caption, h.title), h.align, h.smoothing, h.gate, h.average, h.export)
	return h
}

func (h *compareHead) show(s comparing.State) {
	caption := "Board"
	if text := s.KeptText(); text != "" {
		caption += ", " + text
	}
	h.caption.set(caption)
	h.title.set(s.Title())
	h.align.set(s.AlignText())
	h.smoothing.set(s.SmoothingText())
	h.gate.set(s.Board.Gate.String())
	h.average.enable(len(s.Board.Traces) > 1)
	h.export.enable(len(s.Board.Traces) > 0)
	h.box.Refresh()
}

// openSmoothing lets the smoothing be chosen from a menu.
func (h *compareHead) openSmoothing() {
	s := h.view.shell
	s.desk.Silence() // an open list takes Esc for itself
	menu := fyne.NewMenu("")
	list, id := h.view.table.State().SmoothingChoices()
	for _, one := range list {
		item := fyne.NewMenuItem(one.Label, func() { h.view.table.SetSmoothing(one.ID) })
		item.Checked = one.ID == id
		menu.Items = append(menu.Items, item)
	}
	pop := widget.NewPopUpMenu(menu, s.window.Canvas())
	at := s.app.Driver().AbsolutePositionForObject(h.smoothing)
	pop.ShowAtPosition(at.AddXY(0, h.smoothing.Size().Height+4))
	pop.ActivateNext()
}
