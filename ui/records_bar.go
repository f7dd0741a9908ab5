package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// scrollBar shows how much of a long list is seen, and where; it can be dragged, and a
// press beside its thumb moves by what is seen.
type scrollBar struct {
	widget.BaseWidget
	look   *look
	top    float64
	seen   float64
	length int
	moved  func(top float64)
	held   float64 // of the drag: the row at the edge, not rounded
	thumb  *canvas.Rectangle
}

const (
	scrollBarWidth = 9
	shortestThumb  = 28
)

func newScrollBar(l *look, moved func(top float64)) *scrollBar {
	b := &scrollBar{look: l, moved: moved, held: -1, thumb: canvas.NewRectangle(nil)}
	b.ExtendBaseWidget(b)
	return b
}

func (b *scrollBar) set(top, seen float64, length int) {
	if b.top != top || b.seen != seen || b.length != length {
		b.top, b.seen, b.length = top, seen, length
		b.Refresh()
	}
}

// extent is the place of the thumb and its length; its length is 0 where all is seen.
func (b *scrollBar) extent() (y, h float64) {
	height, all := float64(b.Size().Height), float64(b.length)
	if all <= b.seen || height < shortestThumb {
		return 0, 0
	}
	h = max(height*b.seen/all, shortestThumb)
	return (height - h) * b.top / (all - b.seen), h
}

// Dragged moves the list along with the thumb.
func (b *scrollBar) Dragged(e *fyne.DragEvent) {
	_, h := b.extent()
	if h == 0 {
		return
	}
	if b.held < 0 {
		b.held = b.top
	}
	b.held += float64(e.Dragged.DY) * (float64(b.length) - b.seen) / (float64(b.Size().Height) - h)
	b.moved(b.held)
}

// DragEnd lets go of the thumb.
func (b *scrollBar) DragEnd() { b.held = -1 }

// Tapped moves by what is seen, towards where the press was.
func (b *scrollBar) Tapped(e *fyne.PointEvent) {
	switch y, h := b.extent(); {
	case h == 0:
	case float64(e.Position.Y) < y:
		b.moved(b.top - b.seen)
	case float64(e.Position.Y) > y+h:
		b.moved(b.top + b.seen)
	}
}

// CreateRenderer makes the thumb.
func (b *scrollBar) CreateRenderer() fyne.WidgetRenderer {
	r := &scrollBarRenderer{b}
	r.Refresh()
	return r
}

type scrollBarRenderer struct{ b *scrollBar }

func (r *scrollBarRenderer) Destroy()           {}
func (r *scrollBarRenderer) MinSize() fyne.Size { return fyne.NewSize(scrollBarWidth, 10) }
func (r *scrollBarRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.b.thumb}
}

func (r *scrollBarRenderer) Layout(fyne.Size) {
	y, h := r.b.extent()
	r.b.thumb.Hidden = h == 0
	r.b.thumb.Move(fyne.NewPos(1, float32(y)))
	r.b.thumb.Resize(fyne.NewSize(scrollBarWidth-3, float32(h)))
}

func (r *scrollBarRenderer) Refresh() {
	r.b.thumb.FillColor, r.b.thumb.CornerRadius = r.b.look.field, 3
	r.Layout(r.b.Size())
	canvas.Refresh(r.b)
}
