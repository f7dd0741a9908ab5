package ui

import (
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"stillroom/app/desk"
)

// columns are the shares of the width of the list that its columns take. Where it
// is narrow the place is left out: the details beside the list tell it.
func columns(width float32) []float32 {
	if width < 760 {
		return []float32{0.17, 0.19, 0.11, 0.17, 0, 0.13, 0.11, 0.12}
	}
	return []float32{0.13, 0.16, 0.09, 0.13, 0.19, 0.12, 0.09, 0.09}
}

// columnLayout sets one object in each column.
type columnLayout struct{}

func (columnLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(400, 20) }

func (columnLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	x := float32(0)
	for i, share := range columns(s.Width) {
		if share == 0 {
			o[i].Hide()
			continue
		}
		o[i].Show()
		w := s.Width * share
		h := o[i].MinSize().Height
		o[i].Move(fyne.NewPos(x, float32(int((s.Height-h)/2))))
		o[i].Resize(fyne.NewSize(w-12, h))
		x += w
	}
}

// newTableHead is the line with the names of the columns.
func newTableHead(l *look) *fyne.Container {
	var names []fyne.CanvasObject
	for _, name := range []string{"Serial", "Model", "Batch", "Measured", "Place", "Response", "Mean dB", "Findings"} {
		t := newFlexLine(l, roleTitle, name)
		if name == "Mean dB" {
			t.right()
		}
		names = append(names, t)
	}
	return &fyne.Container{Layout: columnLayout{}, Objects: names}
}

// recordHeight is the height of one line of the list.
const recordHeight = 37

// recordRow is one line of the list. A press chooses it, a double click opens it.
type recordRow struct {
	widget.BaseWidget
	view   *recordsView
	entry  desk.Entry
	chosen bool
	over   bool

	ground  *canvas.Rectangle
	rule    *canvas.Rectangle
	serial  *line
	model   *line
	batch   *line
	when    *line
	place   *line
	thumb   *thumb
	level   *line
	mark    *icon
	status  *line
	cells   *fyne.Container
	padding *fyne.Container
}

func newRecordRow(v *recordsView) *recordRow {
	l := v.shell.look
	r := &recordRow{view: v, ground: canvas.NewRectangle(nil), rule: canvas.NewRectangle(nil)}
	r.serial, r.model, r.batch = newFlexLine(l, roleMono, ""), newFlexLine(l, roleBody, ""), newFlexLine(l, roleMonoSecond, "")
	r.when, r.place = newFlexLine(l, roleBody, ""), newFlexLine(l, roleSecond, "")
	r.thumb = newThumb(l)
	r.level = newFlexLine(l, roleMono, "").right()
	r.mark = newIcon("pass", 14, func() color.NRGBA { return verdictColor(l, r.entry.Verdict)() })
	r.status = newFlexLine(l, roleBody, "")
	r.cells = &fyne.Container{Layout: columnLayout{}, Objects: []fyne.CanvasObject{
		r.serial, r.model, r.batch, r.when, r.place, r.thumb, r.level, newStretchRow(6, 1, r.mark, r.status)}}
	r.padding = newInset(14, 0, 14, 0, r.cells)
	r.ExtendBaseWidget(r)
	return r
}

// set shows an entry.
func (r *recordRow) set(e desk.Entry, chosen bool) {
	r.entry, r.chosen = e, chosen
	r.serial.set(e.Serial)
	r.model.set(e.Model)
	r.batch.set(e.Batch)
	r.when.set(e.Measured)
	r.place.set(e.Place)
	r.level.set(e.Level)
	r.status.set(e.Status)
	r.thumb.set(e)
	r.mark.set(verdictIcon(e.Verdict))
	r.Refresh()
}

// MouseDown chooses the row.
func (r *recordRow) MouseDown(*desktop.MouseEvent) {
	r.view.shell.window.Canvas().Unfocus()
	r.view.choose(r.entry.ID)
}

// MouseUp is not used.
func (r *recordRow) MouseUp(*desktop.MouseEvent) {}

// DoubleTapped opens the take.
func (r *recordRow) DoubleTapped(*fyne.PointEvent) {
	r.view.chosen = r.entry.ID
	r.view.openChosen()
}

// MouseIn, MouseMoved and MouseOut tint the row under the pointer.
func (r *recordRow) MouseIn(*desktop.MouseEvent) { r.over = true; r.Refresh() }

// MouseMoved is not used.
func (r *recordRow) MouseMoved(*desktop.MouseEvent) {}

// MouseOut takes the tint away.
func (r *recordRow) MouseOut() { r.over = false; r.Refresh() }

// CreateRenderer stacks ground, cells and hairline.
func (r *recordRow) CreateRenderer() fyne.WidgetRenderer { return &recordRenderer{r} }

type recordRenderer struct{ r *recordRow }

func (r *recordRenderer) Destroy()           {}
func (r *recordRenderer) MinSize() fyne.Size { return fyne.NewSize(400, recordHeight) }

func (r *recordRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.r.ground, r.r.padding, r.r.rule}
}

func (r *recordRenderer) Layout(s fyne.Size) {
	r.r.ground.Resize(s)
	r.r.padding.Resize(s)
	r.r.rule.Move(fyne.NewPos(0, s.Height-1))
	r.r.rule.Resize(fyne.NewSize(s.Width, 1))
}

func (r *recordRenderer) Refresh() {
	l := r.r.view.shell.look
	r.r.rule.FillColor = l.Hairline
	r.r.ground.FillColor = l.Card
	switch {
	case r.r.chosen:
		r.r.ground.FillColor = l.accentSoft
	case r.r.over:
		r.r.ground.FillColor = l.hover
	}
	r.r.mark.Refresh()
	r.Layout(r.r.Size())
	canvas.Refresh(r.r)
}

// thumb is a response in small.
type thumb struct {
	widget.BaseWidget
	look  *look
	id    string
	x, y  []float64
	lines []*canvas.Line
}

func newThumb(l *look) *thumb {
	t := &thumb{look: l}
	t.ExtendBaseWidget(t)
	return t
}

// thumbSteps thins the curve out: more points cannot be seen.
const thumbSteps = 3

func (t *thumb) set(e desk.Entry) {
	if t.id == e.ID {
		return
	}
	t.id = e.ID
	t.x, t.y = e.Thumb()
	t.Refresh()
}

// CreateRenderer makes the lines.
func (t *thumb) CreateRenderer() fyne.WidgetRenderer {
	r := &thumbRenderer{t}
	r.Refresh()
	return r
}

type thumbRenderer struct{ t *thumb }

func (r *thumbRenderer) Destroy()           {}
func (r *thumbRenderer) MinSize() fyne.Size { return fyne.NewSize(40, 24) }

func (r *thumbRenderer) Objects() []fyne.CanvasObject {
	o := make([]fyne.CanvasObject, len(r.t.lines))
	for i, l := range r.t.lines {
		o[i] = l
	}
	return o
}

func (r *thumbRenderer) Layout(s fyne.Size) {
	t := r.t
	n := 0
	for i := thumbSteps; i < len(t.y); i += thumbSteps {
		if n >= len(t.lines) {
			break
		}
		l := t.lines[n]
		n++
		l.Hidden = math.IsNaN(t.y[i]) || math.IsNaN(t.y[i-thumbSteps])
		if l.Hidden {
			continue
		}
		at := func(j int) fyne.Position {
			return fyne.NewPos(float32(t.x[j])*s.Width, (1-float32(t.y[j]))*s.Height)
		}
		l.Position1, l.Position2 = at(i-thumbSteps), at(i)
	}
}

func (r *thumbRenderer) Refresh() {
	t := r.t
	need := max((len(t.y)-1)/thumbSteps, 0)
	for len(t.lines) < need {
		t.lines = append(t.lines, canvas.NewLine(nil))
	}
	t.lines = t.lines[:need]
	for _, l := range t.lines {
		l.StrokeColor, l.StrokeWidth = t.look.TraceColor(0), 1.3
	}
	r.Layout(t.Size())
	canvas.Refresh(t)
}
