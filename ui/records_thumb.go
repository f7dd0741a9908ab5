package ui

import (
	"image"
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
	"golang.org/x/image/vector"

	"stillroom/app/desk"
)

// thumb is a response in small: one picture, drawn when its curve or its colour is
// another, so that a list of them scrolls without drawing.
type thumb struct {
	widget.BaseWidget
	look    *look
	id      string
	failed  bool
	drawn   color.NRGBA
	x, y    []float64
	picture *canvas.Raster
}

func newThumb(l *look) *thumb {
	t := &thumb{look: l}
	t.picture = canvas.NewRaster(t.draw)
	t.ExtendBaseWidget(t)
	return t
}

// set shows the curve of a take, in the colour of a failed unit where it is one.
func (t *thumb) set(e desk.Entry) {
	if t.id == e.ID && t.failed == (e.Mark == desk.Void) {
		return
	}
	t.id, t.failed, t.drawn = e.ID, e.Mark == desk.Void, color.NRGBA{}
	t.x, t.y = e.Thumb()
}

func (t *thumb) ink() color.NRGBA {
	if t.failed {
		return t.look.Fail
	}
	return t.look.TraceColor(0)
}

// thumbStroke is the width of the line.
const thumbStroke = 1.4

// draw makes the picture, in pixels.
func (t *thumb) draw(w, h int) image.Image {
	picture := image.NewNRGBA(image.Rect(0, 0, w, h))
	if len(t.y) < 2 || w < 2 || h < 2 {
		return picture
	}
	half := 0.5 * thumbStroke * float64(w) / math.Max(float64(t.Size().Width), 1)
	pen := vector.NewRasterizer(w, h)
	at := func(i int) (x, y float64) {
		return half + t.x[i]*(float64(w)-2*half), half + (1-t.y[i])*(float64(h)-2*half)
	}
	for i := 1; i < len(t.y); i++ {
		if math.IsNaN(t.y[i]) || math.IsNaN(t.y[i-1]) {
			continue
		}
		x0, y0 := at(i - 1)
		x1, y1 := at(i)
		stroke(pen, x0, y0, x1, y1, half)
	}
	pen.Draw(picture, picture.Bounds(), image.NewUniform(t.ink()), image.Point{})
	return picture
}

// stroke adds a straight piece of a line, a little longer than it is, so that no gap is
// left where pieces meet at an angle.
func stroke(pen *vector.Rasterizer, x0, y0, x1, y1, half float64) {
	length := math.Hypot(x1-x0, y1-y0)
	if length == 0 {
		return
	}
	ux, uy := (x1-x0)/length*half, (y1-y0)/length*half
	corner := func(x, y float64) (float32, float32) { return float32(x), float32(y) }
	pen.MoveTo(corner(x0-ux-uy, y0-uy+ux))
	pen.LineTo(corner(x1+ux-uy, y1+uy+ux))
	pen.LineTo(corner(x1+ux+uy, y1+uy-ux))
	pen.LineTo(corner(x0-ux+uy, y0-uy-ux))
	pen.ClosePath()
}

// CreateRenderer holds the picture.
func (t *thumb) CreateRenderer() fyne.WidgetRenderer { return &thumbRenderer{t} }

type thumbRenderer struct{ t *thumb }

func (r *thumbRenderer) Destroy()                     {}
func (r *thumbRenderer) MinSize() fyne.Size           { return fyne.NewSize(40, 26) }
func (r *thumbRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.t.picture} }
func (r *thumbRenderer) Layout(s fyne.Size)           { r.t.picture.Resize(s) }

func (r *thumbRenderer) Refresh() {
	if ink := r.t.ink(); ink != r.t.drawn {
		r.t.drawn = ink
		r.t.picture.Refresh()
	}
}
