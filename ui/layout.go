package ui

import "fyne.io/fyne/v2"

// column stacks its objects, all as wide as the column, with space between. An
// object that grows with its width tells its height for it.
type column struct {
	space float32
	width float32 // of the last layout, or a guess before it
}

// grower is an object whose height follows from its width.
type grower interface{ heightFor(width float32) float32 }

func heightOf(o fyne.CanvasObject, width float32) float32 {
	switch g := o.(type) {
	case grower:
		return g.heightFor(width)
	case *fyne.Container:
		if lay, ok := g.Layout.(growingLayout); ok {
			return lay.heightFor(g.Objects, width)
		}
	}
	return o.MinSize().Height
}

// growingLayout is a layout whose height follows from its width.
type growingLayout interface {
	heightFor(objects []fyne.CanvasObject, width float32) float32
}

func (c *column) heightFor(objects []fyne.CanvasObject, width float32) float32 {
	h := float32(0)
	for _, o := range objects {
		if o.Visible() {
			h += heightOf(o, width) + c.space
		}
	}
	return max(h-c.space, 0)
}

func (c *column) MinSize(objects []fyne.CanvasObject) fyne.Size {
	w := float32(0)
	for _, o := range objects {
		if o.Visible() {
			w = max(w, o.MinSize().Width)
		}
	}
	return fyne.NewSize(w, c.heightFor(objects, max(c.width, w)))
}

func (c *column) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	c.width = s.Width
	y := float32(0)
	for _, o := range objects {
		if !o.Visible() {
			continue
		}
		h := heightOf(o, s.Width)
		o.Move(fyne.NewPos(0, y))
		o.Resize(fyne.NewSize(s.Width, h))
		y += h + c.space
	}
}

func newColumn(space, width float32, objects ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &column{space: space, width: width}, Objects: objects}
}

// rowLayout sets objects beside each other at their own width, centred in height.
// With stretch the object of that index takes what is left.
type rowLayout struct {
	space   float32
	stretch int // -1: none
}

func (r *rowLayout) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var s fyne.Size
	n := 0
	for _, o := range objects {
		if o.Visible() {
			m := o.MinSize()
			s.Width += m.Width
			s.Height = max(s.Height, m.Height)
			n++
		}
	}
	s.Width += r.space * float32(max(n-1, 0))
	return s
}

func (r *rowLayout) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	spare := s.Width - r.MinSize(objects).Width
	x := float32(0)
	for i, o := range objects {
		if !o.Visible() {
			continue
		}
		m := o.MinSize()
		if i == r.stretch {
			m.Width = max(m.Width+spare, 0)
		}
		o.Move(fyne.NewPos(x, float32(int((s.Height-m.Height)/2))))
		o.Resize(m)
		x += m.Width + r.space
	}
}

func newRow(space float32, objects ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &rowLayout{space: space, stretch: -1}, Objects: objects}
}

func newStretchRow(space float32, stretch int, objects ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &rowLayout{space: space, stretch: stretch}, Objects: objects}
}

// inset leaves room around its objects.
type inset struct{ left, top, right, bottom float32 }

func (p *inset) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var s fyne.Size
	for _, o := range objects {
		s = s.Max(o.MinSize())
	}
	return s.AddWidthHeight(p.left+p.right, p.top+p.bottom)
}

func (p *inset) heightFor(objects []fyne.CanvasObject, width float32) float32 {
	h := float32(0)
	for _, o := range objects {
		h = max(h, heightOf(o, width-p.left-p.right))
	}
	return h + p.top + p.bottom
}

func (p *inset) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	for _, o := range objects {
		o.Move(fyne.NewPos(p.left, p.top))
		o.Resize(s.SubtractWidthHeight(p.left+p.right, p.top+p.bottom))
	}
}

func newInset(left, top, right, bottom float32, o fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &inset{left, top, right, bottom}, Objects: []fyne.CanvasObject{o}}
}

// overlaid lays objects on each other, all of the full size; it grows with width.
type overlaid struct{}

func (overlaid) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return (&inset{}).MinSize(objects)
}

func (overlaid) heightFor(objects []fyne.CanvasObject, width float32) float32 {
	return (&inset{}).heightFor(objects, width)
}

func (overlaid) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	(&inset{}).Layout(objects, s)
}

func newOverlaid(objects ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: overlaid{}, Objects: objects}
}

// spacer is empty room of a fixed size.
func spacer(w, h float32) fyne.CanvasObject {
	return &fyne.Container{Layout: &inset{w, h, 0, 0}}
}
