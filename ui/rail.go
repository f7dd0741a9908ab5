package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// railKey is one entry of the rail: a room, or a switch at its foot.
type railKey struct {
	widget.BaseWidget
	look    *look
	icon    string
	text    string
	chosen  bool
	hovered bool
	press   func()
}

func newRailKey(l *look, icon, text string, press func()) *railKey {
	k := &railKey{look: l, icon: icon, text: text, press: press}
	k.ExtendBaseWidget(k)
	return k
}

// choose marks the key as the room that is shown.
func (k *railKey) choose(on bool) {
	if k.chosen != on {
		k.chosen = on
		k.Refresh()
	}
}

// Tapped goes to the room.
func (k *railKey) Tapped(*fyne.PointEvent) { k.press() }

// MouseIn, MouseMoved and MouseOut tint the key under the pointer.
func (k *railKey) MouseIn(*desktop.MouseEvent) { k.hovered = true; k.Refresh() }

// MouseMoved is not used.
func (k *railKey) MouseMoved(*desktop.MouseEvent) {}

// MouseOut takes the tint away.
func (k *railKey) MouseOut() { k.hovered = false; k.Refresh() }

// Cursor shows that the key can be pressed.
func (k *railKey) Cursor() desktop.Cursor { return desktop.PointerCursor }

// CreateRenderer makes ground, icon and word.
func (k *railKey) CreateRenderer() fyne.WidgetRenderer {
	r := &railRenderer{k: k, ground: canvas.NewRectangle(nil), picture: &canvas.Image{FillMode: canvas.ImageFillContain}, word: canvas.NewText("", nil)}
	r.Refresh()
	return r
}

type railRenderer struct {
	k       *railKey
	ground  *canvas.Rectangle
	picture *canvas.Image
	word    *canvas.Text
}

func (r *railRenderer) Destroy()           {}
func (r *railRenderer) MinSize() fyne.Size { return fyne.NewSize(railWidth-12, 60) }

func (r *railRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.ground, r.picture, r.word}
}

func (r *railRenderer) Layout(s fyne.Size) {
	r.ground.Resize(s)
	r.picture.Resize(fyne.NewSquareSize(22))
	r.picture.Move(fyne.NewPos((s.Width-22)/2, 10))
	m := r.word.MinSize()
	r.word.Resize(m)
	r.word.Move(fyne.NewPos((s.Width-m.Width)/2, 36))
}

func (r *railRenderer) Refresh() {
	l, k := r.k.look, r.k
	ink := l.OnRailDim
	r.ground.CornerRadius = 6
	r.ground.FillColor = l.Rail
	switch {
	case k.chosen:
		r.ground.FillColor, ink = l.Accent, l.OnAccent
	case k.hovered:
		r.ground.FillColor = mix(l.Rail, l.OnRail, 0.1)
	}
	r.picture.Resource = tinted(k.icon, ink)
	r.word.Text, r.word.Color, r.word.TextSize = k.text, ink, textSmall
	r.picture.Refresh()
	r.Layout(k.Size())
	canvas.Refresh(k)
}
