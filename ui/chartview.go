package ui

import (
	"image"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"stillroom/app/chart"
)

// chartView shows one chart: the drawing as a picture that is made anew only when
// something on it changed, and above it the cursor, the handles of a gate and the
// legend as objects of the toolkit, so that moving them draws no curve.
//
// The wheel zooms at the pointer, dragging pans, a double click shows all again, a
// click sets the cursor.
type chartView struct {
	widget.BaseWidget
	look *look
	link *link
	plot *chart.Plot
	full chart.Chart // as it was described, not zoomed
	gate *gateHandles

	picture *canvas.Raster
	buffer  *image.RGBA
	cursor  *canvas.Line
	bend    *canvas.Line // the rest of a cursor that does not stand upright
	labels  *valueLabels // values at the cursor; nil: none
	legend  *legend
	drag    drag
}

// drag is what the pointer holds.
type drag int

const (
	dragNothing drag = iota
	dragSheet
	dragCursor
	dragOpen
	dragClose
)

func newChartView(l *look, link *link) *chartView {
	v := &chartView{look: l, link: link, plot: chart.NewPlot(l.Theme)}
	v.picture = canvas.NewRaster(v.draw)
	v.cursor, v.bend = canvas.NewLine(l.Cursor), canvas.NewLine(l.Cursor)
	v.cursor.StrokeWidth, v.bend.StrokeWidth = 1, 1
	v.legend = newLegend(l)
	link.views = append(link.views, v)
	v.ExtendBaseWidget(v)
	return v
}

// set shows a chart.
func (v *chartView) set(c chart.Chart) {
	v.full = c
	v.link.setHome(c.X)
	v.legend.set(c)
	v.rearrange()
}

// rearrange draws anew with the range of the link.
func (v *chartView) rearrange() {
	c := v.full
	c.X = v.link.shown
	v.plot.SetChart(c)
	v.picture.Refresh()
	v.placeOverlay()
}

// draw makes the picture, in pixels. It runs on the event thread.
func (v *chartView) draw(w, h int) image.Image {
	if v.buffer == nil || v.buffer.Rect.Dx() != w || v.buffer.Rect.Dy() != h {
		v.buffer = image.NewRGBA(image.Rect(0, 0, w, h))
	}
	scale := 1.0
	if width := v.picture.Size().Width; width > 0 {
		scale = float64(w) / float64(width)
	}
	v.plot.Layout(w, h, scale)
	v.plot.Draw(v.buffer)
	return v.buffer
}

// empty tells that nothing is drawn.
func (v *chartView) empty() bool {
	return len(v.full.Traces) == 0 && v.full.Map == nil && v.full.Surface == nil
}

// placeOverlay puts cursor, values, handles and legend where they belong.
func (v *chartView) placeOverlay() {
	x := v.link.cursor
	v.placeCursor(x)
	if v.labels != nil {
		v.labels.place(v.plot, x)
	}
	if v.gate != nil {
		v.gate.place(v.plot)
	}
	v.legend.place(v.plot.PlotRect())
}

// placeCursor draws the line of the cursor.
func (v *chartView) placeCursor(x float64) {
	var corners [][2]float64
	if !v.empty() {
		corners = v.plot.CursorLine(x)
	}
	for i, l := range []*canvas.Line{v.cursor, v.bend} {
		l.Hidden = len(corners) < i+2
		if !l.Hidden {
			from, to := corners[i], corners[i+1]
			if i == 0 && len(corners) == 2 {
				from, to = to, from // from above
			}
			l.Position1 = fyne.NewPos(float32(from[0]), float32(from[1]))
			l.Position2 = fyne.NewPos(float32(to[0]), float32(to[1]))
		}
		l.Refresh()
	}
}

// MinSize lets a chart become small.
func (v *chartView) MinSize() fyne.Size { return fyne.NewSize(200, 90) }

// Scrolled zooms at the pointer.
func (v *chartView) Scrolled(e *fyne.ScrollEvent) {
	if e.Scrolled.DY == 0 {
		return
	}
	factor := math.Pow(0.9975, float64(e.Scrolled.DY)*4)
	v.link.zoom(v.plot.XAt(float64(e.Position.X)), factor)
}

// DoubleTapped shows all again.
func (v *chartView) DoubleTapped(*fyne.PointEvent) { v.link.reset() }

// MouseDown takes what is under the pointer: a handle of the gate, the cursor or
// the sheet; a press on the sheet also sets the cursor.
func (v *chartView) MouseDown(e *desktop.MouseEvent) {
	if e.Button != desktop.MouseButtonPrimary {
		return
	}
	v.drag = v.under(e.Position)
	if v.drag == dragSheet && !v.empty() && v.gate == nil {
		v.link.point(v.plot.XAt(float64(e.Position.X)))
	}
}

// MouseUp lets go.
func (v *chartView) MouseUp(*desktop.MouseEvent) { v.letGo() }

// Dragged moves what is held.
func (v *chartView) Dragged(e *fyne.DragEvent) {
	if v.drag == dragNothing {
		v.drag = v.under(e.Position.Subtract(e.Dragged))
	}
	x := v.plot.XAt(float64(e.Position.X))
	switch v.drag {
	case dragCursor:
		v.link.point(x)
	case dragOpen, dragClose:
		v.gate.move(v.drag, x)
		v.placeOverlay()
	case dragSheet:
		v.link.pan(v.plot.XAt(float64(e.Position.X-e.Dragged.DX)), x)
	}
}

// DragEnd lets go.
func (v *chartView) DragEnd() { v.letGo() }

func (v *chartView) letGo() {
	if v.gate != nil && (v.drag == dragOpen || v.drag == dragClose) {
		v.gate.drop()
	}
	v.drag = dragNothing
}

// near is how close to a line the pointer takes hold of it.
const near = 8

// under tells what lies at a position.
func (v *chartView) under(p fyne.Position) drag {
	if v.gate != nil && v.gate.shown {
		if what := v.gate.under(p.X, v.plot); what != dragNothing {
			return what
		}
	}
	if !v.cursor.Hidden && math.Abs(float64(p.X-v.cursor.Position1.X)) < near {
		return dragCursor
	}
	if !v.plot.PlotRect().Contains(float64(p.X), float64(p.Y)) {
		return dragNothing
	}
	return dragSheet
}

// Cursor shows the shape of the pointer over lines that can be dragged.
func (v *chartView) Cursor() desktop.Cursor {
	if v.gate != nil && v.gate.hovered {
		return desktop.HResizeCursor
	}
	return desktop.DefaultCursor
}

// MouseIn and MouseMoved keep track of what the pointer is over.
func (v *chartView) MouseIn(e *desktop.MouseEvent) { v.MouseMoved(e) }

// MouseMoved tells whether a handle is under the pointer.
func (v *chartView) MouseMoved(e *desktop.MouseEvent) {
	if v.gate != nil {
		v.gate.hovered = v.gate.shown && v.gate.under(e.Position.X, v.plot) != dragNothing
	}
}

// MouseOut forgets it.
func (v *chartView) MouseOut() {
	if v.gate != nil {
		v.gate.hovered = false
	}
}

// CreateRenderer stacks picture, gate, cursor and legend.
func (v *chartView) CreateRenderer() fyne.WidgetRenderer { return &chartRenderer{v} }

type chartRenderer struct{ v *chartView }

func (r *chartRenderer) Destroy()           {}
func (r *chartRenderer) MinSize() fyne.Size { return r.v.MinSize() }

func (r *chartRenderer) Objects() []fyne.CanvasObject {
	objects := []fyne.CanvasObject{r.v.picture}
	if r.v.gate != nil {
		objects = append(objects, r.v.gate.objects()...)
	}
	objects = append(objects, r.v.cursor, r.v.bend)
	if r.v.labels != nil {
		objects = append(objects, r.v.labels.objects()...)
	}
	return append(objects, r.v.legend.objects...)
}

func (r *chartRenderer) Layout(s fyne.Size) {
	r.v.plot.Layout(int(s.Width), int(s.Height), 1)
	r.v.picture.Resize(s)
	r.v.placeOverlay()
}

func (r *chartRenderer) Refresh() {
	v := r.v
	v.plot.SetTheme(v.look.Theme)
	v.cursor.StrokeColor, v.bend.StrokeColor = v.look.Cursor, v.look.Cursor
	v.legend.set(v.full)
	if v.gate != nil {
		v.gate.refresh()
	}
	v.rearrange()
}
