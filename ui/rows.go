package ui

import (
	"fyne.io/fyne/v2"

	"stillroom/app/desk"
)

// readings is a list of labels and values under a title, with a hairline below
// each line. Its lines are made once and then only change their text.
type readings struct {
	look  *look
	title *line
	box   *fyne.Container
	lines []readingLine
}

type readingLine struct{ label, value *line }

func newReadings(l *look, title string) *readings {
	r := &readings{look: l, title: newLine(l, roleTitle, title)}
	r.box = newColumn(0, panelWidth, newInset(0, 0, 0, 7, r.title))
	return r
}

// set shows rows.
func (r *readings) set(title string, rows []desk.Row) {
	r.title.set(title)
	for len(r.lines) < len(rows) {
		r.add()
	}
	for i, l := range r.lines {
		o := r.box.Objects[i+1]
		if i >= len(rows) {
			o.Hide()
			continue
		}
		o.Show()
		l.label.set(rows[i].Label)
		l.value.set(rows[i].Value)
	}
}

func (r *readings) add() {
	l := readingLine{newLine(r.look, roleBody, ""), newFlexLine(r.look, roleMono, "").right()}
	r.lines = append(r.lines, l)
	row := &fyne.Container{Layout: &readingLayout{}, Objects: []fyne.CanvasObject{l.label, l.value, newHairline(r.look)}}
	r.box.Add(row)
}

// readingLayout puts a label at the left, its value at the right, a hairline below.
type readingLayout struct{}

const (
	readingHeight = 27
	readingLeast  = 60 // of a label beside a long value
)

func (readingLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(100, readingHeight) }

func (readingLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	label, value := o[0].MinSize(), o[1].MinSize()
	label.Width = min(label.Width, max(s.Width-o[1].(*line).wide()-8, readingLeast))
	o[0].Move(fyne.NewPos(0, (s.Height-label.Height)/2))
	o[0].Resize(label)
	x := label.Width + 8
	o[1].Move(fyne.NewPos(x, (s.Height-value.Height)/2))
	o[1].Resize(fyne.NewSize(max(s.Width-x, 0), value.Height))
	o[2].Move(fyne.NewPos(0, s.Height-1))
	o[2].Resize(fyne.NewSize(s.Width, 1))
}

// headItem is a caption over a value, as they stand in the head of a room.
type headItem struct {
	box            *fyne.Container
	caption, value *line
}

func newHeadItem(l *look, caption string) *headItem {
	h := &headItem{caption: newLine(l, roleCaption, caption), value: newLine(l, roleHead, "")}
	h.box = newColumn(1, 40, h.caption, h.value)
	return h
}
