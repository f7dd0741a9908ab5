package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"stillroom/app/desk"
)

// recordHeight is the height of one line of the list.
const recordHeight = 41

// recordRow is one line of the list. A press looks at its take, on the box selects it,
// with Shift selects all up to it; a double click opens it.
type recordRow struct {
	widget.BaseWidget
	view  *recordsView
	key   rowKey // what is shown
	entry desk.Entry
	over  bool

	ground, rule *canvas.Rectangle
	here         *canvas.Rectangle // marks the row that is looked at
	box          *tickBox
	cells        map[string]*line // by the name of their column
	thumb        *thumb
	mark         *icon
	content      *fyne.Container
}

// rowKey is all that a line shows; where it is the same nothing is drawn anew.
type rowKey struct {
	row                    int
	held, chosen, selected bool
	texts                  [9]string
}

// boxWidth is where the columns begin, right of the box.
const boxWidth = 42

func newRecordRow(v *recordsView) *recordRow {
	l := v.shell.look
	r := &recordRow{view: v, ground: canvas.NewRectangle(nil), rule: canvas.NewRectangle(nil), here: canvas.NewRectangle(nil), cells: map[string]*line{}}
	r.box, r.thumb = newTickBox(l), newThumb(l)
	r.mark = newIcon("pass", 14, func() color.NRGBA { return verdictColor(l, r.entry.Mark)() })
	roles := map[string]role{"Serial": roleMono, "Batch": roleMonoSecond, "dB": roleMono}
	var objects []fyne.CanvasObject
	for _, c := range recordColumns() {
		cell := newFlexLine(l, roles[c.name], "")
		r.cells[c.name] = cell
		switch c.name {
		case "Response":
			objects = append(objects, r.thumb)
		case "Status":
			objects = append(objects, newStretchRow(6, 1, r.mark, cell))
		case "dB":
			objects = append(objects, cell.right())
		default:
			objects = append(objects, cell)
		}
	}
	r.content = newInset(boxWidth, 0, 8, 0, &fyne.Container{Layout: columnLayout{}, Objects: objects})
	r.ExtendBaseWidget(r)
	return r
}

// set shows a row of a list; one that is not held yet is blank.
func (r *recordRow) set(l desk.Listing, row int) {
	e, held := l.Row(row)
	key := rowKey{row, held, row == l.At, held && l.IsSelected(e.ID),
		[9]string{e.ID, e.Serial, e.Model, e.Batch, e.Measured, e.Place, e.Level, e.Status, e.Mark}}
	if key == r.key {
		return
	}
	r.key, r.entry = key, e
	for name, text := range map[string]string{"Serial": e.Serial, "Model": e.Model, "Batch": e.Batch, "Measured": e.Measured,
		"Place": e.Place, "dB": e.Level, "Status": e.Status} {
		r.cells[name].set(text)
	}
	if !held {
		r.cells["Serial"].set("…")
	}
	r.box.set(key.selected, held)
	r.thumb.set(e)
	r.mark.set(verdictIcon(e.Mark))
	r.mark.Hidden = e.Mark == ""
	r.content.Refresh()
	r.Refresh()
}

// MouseDown looks at the row, or selects it.
func (r *recordRow) MouseDown(e *desktop.MouseEvent) {
	v := r.view
	v.shell.window.Canvas().Unfocus()
	switch {
	case e.Modifier&fyne.KeyModifierShift != 0:
		v.selectTo(r.key.row)
	case e.Modifier&fyne.KeyModifierControl != 0, e.Position.X < boxWidth-4:
		v.toggle(r.key.row)
	default:
		v.goTo(r.key.row)
	}
}

// MouseUp is not used.
func (r *recordRow) MouseUp(*desktop.MouseEvent) {}

// DoubleTapped opens the take.
func (r *recordRow) DoubleTapped(e *fyne.PointEvent) {
	if e.Position.X >= boxWidth {
		r.view.openChosen()
	}
}

// MouseIn, MouseMoved and MouseOut tint the row under the pointer.
func (r *recordRow) MouseIn(*desktop.MouseEvent) { r.over = true; r.Refresh() }

// MouseMoved is not used.
func (r *recordRow) MouseMoved(*desktop.MouseEvent) {}

// MouseOut takes the tint away.
func (r *recordRow) MouseOut() { r.over = false; r.Refresh() }

// CreateRenderer stacks ground, box, cells and hairline.
func (r *recordRow) CreateRenderer() fyne.WidgetRenderer { return &recordRenderer{r} }

type recordRenderer struct{ r *recordRow }

func (v *recordRenderer) Destroy()           {}
func (v *recordRenderer) MinSize() fyne.Size { return fyne.NewSize(400, recordHeight) }

func (v *recordRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{v.r.ground, v.r.here, v.r.box, v.r.content, v.r.rule}
}

func (v *recordRenderer) Layout(s fyne.Size) {
	r := v.r
	r.ground.Resize(s)
	r.box.Move(fyne.NewPos(10, (s.Height-tickSize)/2))
	r.box.Resize(fyne.NewSquareSize(tickSize))
	r.content.Resize(s)
	r.here.Resize(fyne.NewSize(3, s.Height-1))
	r.rule.Move(fyne.NewPos(0, s.Height-1))
	r.rule.Resize(fyne.NewSize(s.Width, 1))
}

func (v *recordRenderer) Refresh() {
	r, l := v.r, v.r.view.shell.look
	r.rule.FillColor = l.Hairline
	r.here.FillColor, r.here.Hidden = l.Accent, !r.key.chosen
	r.ground.FillColor = l.Card
	switch {
	case r.key.selected:
		r.ground.FillColor = l.accentSoft
	case r.key.chosen, r.over:
		r.ground.FillColor = l.hover
	}
	r.box.Refresh()
	r.mark.Refresh()
	r.thumb.Refresh()
	v.Layout(r.Size())
	canvas.Refresh(r)
}

// tickBox shows whether a row is selected.
type tickBox struct {
	widget.BaseWidget
	look     *look
	on, held bool
	edge     *canvas.Rectangle
	tick     *icon
}

const tickSize = 15

func newTickBox(l *look) *tickBox {
	b := &tickBox{look: l, edge: canvas.NewRectangle(nil)}
	b.tick = newIcon("pass", tickSize-3, func() color.NRGBA { return l.OnAccent })
	b.ExtendBaseWidget(b)
	return b
}

func (b *tickBox) set(on, held bool) { b.on, b.held = on, held }

// CreateRenderer makes the edge and the tick.
func (b *tickBox) CreateRenderer() fyne.WidgetRenderer { return &tickRenderer{b} }

type tickRenderer struct{ b *tickBox }

func (r *tickRenderer) Destroy()           {}
func (r *tickRenderer) MinSize() fyne.Size { return fyne.NewSquareSize(tickSize) }

func (r *tickRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.b.edge, r.b.tick}
}

func (r *tickRenderer) Layout(s fyne.Size) {
	r.b.edge.Resize(s)
	r.b.tick.Move(fyne.NewPos(1.5, 1.5))
	r.b.tick.Resize(s.SubtractWidthHeight(3, 3))
}

func (r *tickRenderer) Refresh() {
	b := r.b
	b.edge.CornerRadius, b.edge.StrokeWidth = 4, 1.2
	b.edge.FillColor, b.edge.StrokeColor = b.look.Card, mix(b.look.field, b.look.Second, 0.3)
	if b.on {
		b.edge.FillColor, b.edge.StrokeColor = b.look.Accent, b.look.Accent
	}
	b.edge.Hidden, b.tick.Hidden = !b.held, !b.on
	b.tick.Refresh()
	r.Layout(b.Size())
	canvas.Refresh(b)
}
