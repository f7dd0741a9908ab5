package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"stillroom/app/desk"
)

// seatRow is one seating in the panel: a press shows it, a press on its word leaves
// it out or puts it back. It takes no focus, so that Space goes on measuring.
type seatRow struct {
	widget.BaseWidget
	panel *seatingPanel
	index int
	row   desk.SeatRow
	over  bool

	ground *canvas.Rectangle
	mark   *icon
	name   *line
	level  *line
	action *canvas.Text
}

const (
	seatHeight  = 25
	seatActionW = 62
)

func newSeatRow(p *seatingPanel, index int) *seatRow {
	l := p.shell.look
	r := &seatRow{panel: p, index: index, ground: canvas.NewRectangle(nil), action: canvas.NewText("", nil)}
	r.mark = newIcon("pass", 14, func() color.NRGBA { return verdictColor(l, r.row.Verdict)() })
	r.name, r.level = newFlexLine(l, roleBody, ""), newFlexLine(l, roleMono, "").right()
	r.ExtendBaseWidget(r)
	return r
}

// set shows a seating.
func (r *seatRow) set(row desk.SeatRow) {
	r.row = row
	r.name.set(row.Name)
	r.level.set(row.Level)
	if row.Next {
		r.level.set("next")
	}
	r.mark.set(verdictIcon(row.Verdict))
	r.mark.Hidden = row.Verdict == ""
	r.Refresh()
}

// Tapped shows the seating, or does what its word says.
func (r *seatRow) Tapped(e *fyne.PointEvent) {
	if r.row.Action != "" && e.Position.X > r.Size().Width-seatActionW {
		r.panel.leaveOut(r.index)
		return
	}
	r.panel.choose(r.index)
}

// MouseIn, MouseMoved and MouseOut tint the row under the pointer.
func (r *seatRow) MouseIn(*desktop.MouseEvent) { r.over = true; r.Refresh() }

// MouseMoved is not used.
func (r *seatRow) MouseMoved(*desktop.MouseEvent) {}

// MouseOut takes the tint away.
func (r *seatRow) MouseOut() { r.over = false; r.Refresh() }

// CreateRenderer stacks ground, mark, name, level and word.
func (r *seatRow) CreateRenderer() fyne.WidgetRenderer {
	v := &seatRenderer{r}
	v.Refresh()
	return v
}

type seatRenderer struct{ r *seatRow }

func (v *seatRenderer) Destroy()           {}
func (v *seatRenderer) MinSize() fyne.Size { return fyne.NewSize(160, seatHeight) }

func (v *seatRenderer) Objects() []fyne.CanvasObject {
	r := v.r
	return []fyne.CanvasObject{r.ground, r.mark, r.name, r.level, r.action}
}

func (v *seatRenderer) Layout(s fyne.Size) {
	r := v.r
	r.ground.Resize(s)
	middle := func(o fyne.CanvasObject, x, w float32) {
		h := o.MinSize().Height
		o.Move(fyne.NewPos(x, (s.Height-h)/2))
		o.Resize(fyne.NewSize(w, h))
	}
	middle(r.mark, 4, 14)
	middle(r.name, 26, s.Width-26-seatActionW-96)
	middle(r.level, s.Width-seatActionW-96, 86)
	middle(r.action, s.Width-seatActionW+2, seatActionW-4)
}

func (v *seatRenderer) Refresh() {
	r, l := v.r, v.r.panel.shell.look
	r.ground.CornerRadius = 4
	switch {
	case r.row.Shown:
		r.ground.FillColor = l.accentSoft
	case r.over && r.row.Verdict != "":
		r.ground.FillColor = l.hover
	default:
		r.ground.FillColor = color.Transparent
	}
	r.action.Text, r.action.TextSize, r.action.Color = r.row.Action, textSmall, l.Accent
	v.Layout(r.Size())
	r.mark.Refresh()
	r.name.Refresh()
	r.level.Refresh()
	canvas.Refresh(r)
}
