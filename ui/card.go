package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// plate is a ground with an edge: a card, a panel, a caution. Its colours are
// asked at each refresh, so that they follow the theme.
type plate struct {
	widget.BaseWidget
	radius float32
	stroke float32
	colors func() (fill, edge color.Color)
}

func newPlate(radius, stroke float32, colors func() (fill, edge color.Color)) *plate {
	p := &plate{radius: radius, stroke: stroke, colors: colors}
	p.ExtendBaseWidget(p)
	return p
}

// CreateRenderer makes the rectangle.
func (p *plate) CreateRenderer() fyne.WidgetRenderer {
	r := &plateRenderer{p: p, box: canvas.NewRectangle(nil)}
	r.Refresh()
	return r
}

type plateRenderer struct {
	p   *plate
	box *canvas.Rectangle
}

func (r *plateRenderer) Destroy()                     {}
func (r *plateRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.box} }
func (r *plateRenderer) MinSize() fyne.Size           { return fyne.NewSize(1, 1) }
func (r *plateRenderer) Layout(s fyne.Size)           { r.box.Resize(s) }

func (r *plateRenderer) Refresh() {
	r.box.FillColor, r.box.StrokeColor = r.p.colors()
	r.box.StrokeWidth, r.box.CornerRadius = r.p.stroke, r.p.radius
	r.box.Refresh()
}

// newCard puts an object on a card.
func newCard(l *look, o fyne.CanvasObject) *fyne.Container {
	ground := newPlate(cardRadius, 1, func() (color.Color, color.Color) { return l.Card, l.Hairline })
	return newOverlaid(ground, o)
}

// newGround is a plain ground of one colour.
func newGround(fill func() color.Color) *plate {
	return newPlate(0, 0, func() (color.Color, color.Color) { return fill(), color.Transparent })
}

// newHairline is a thin line, 1 high or wide as its place tells.
func newHairline(l *look) *plate {
	return newGround(func() color.Color { return l.Hairline })
}

// side sets a small mark at the left top and lets the rest grow beside it.
type side struct{ indent float32 }

func newSide(indent float32, mark, rest fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &side{indent}, Objects: []fyne.CanvasObject{mark, rest}}
}

func (s *side) MinSize(o []fyne.CanvasObject) fyne.Size {
	m := o[1].MinSize()
	return fyne.NewSize(m.Width+s.indent, max(m.Height, o[0].MinSize().Height))
}

func (s *side) heightFor(o []fyne.CanvasObject, width float32) float32 {
	return max(heightOf(o[1], width-s.indent), o[0].MinSize().Height)
}

func (s *side) Layout(o []fyne.CanvasObject, size fyne.Size) {
	o[0].Move(fyne.NewPos(0, 1))
	o[0].Resize(o[0].MinSize())
	o[1].Move(fyne.NewPos(s.indent, 0))
	o[1].Resize(fyne.NewSize(size.Width-s.indent, size.Height))
}
