package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// meter is a bar with a held peak and a mark where the noise of the place stands.
// Near full scale it turns to the remark's colour, and to that of a fail when the
// input was overloaded; the reading beside it says the same in words.
type meter struct {
	widget.BaseWidget
	look  *look
	width float32
	bar
}

// bar is what a meter shows; parts of the width are from 0 to 1.
type bar struct {
	filled, hold, floor float64
	hot, over           bool
}

func newMeter(l *look, width float32) *meter {
	m := &meter{look: l, width: width}
	m.ExtendBaseWidget(m)
	return m
}

// set moves the bar; it does nothing when nothing moved.
func (m *meter) set(b bar) {
	if m.bar != b {
		m.bar = b
		m.Refresh()
	}
}

// CreateRenderer makes track, bar and peak.
func (m *meter) CreateRenderer() fyne.WidgetRenderer {
	r := &meterRenderer{m: m, track: canvas.NewRectangle(nil), bar: canvas.NewRectangle(nil), peak: canvas.NewRectangle(nil), floor: canvas.NewRectangle(nil)}
	r.Refresh()
	return r
}

type meterRenderer struct {
	m                       *meter
	track, bar, peak, floor *canvas.Rectangle
}

func (r *meterRenderer) Destroy()           {}
func (r *meterRenderer) MinSize() fyne.Size { return fyne.NewSize(r.m.width, 10) }

func (r *meterRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.track, r.bar, r.floor, r.peak}
}

func (r *meterRenderer) Layout(s fyne.Size) {
	r.track.Resize(s)
	r.bar.Resize(fyne.NewSize(s.Width*float32(r.m.filled), s.Height))
	r.peak.Resize(fyne.NewSize(2, s.Height))
	r.peak.Move(fyne.NewPos(min(s.Width*float32(r.m.hold), s.Width-2), 0))
	r.floor.Resize(fyne.NewSize(2, s.Height*0.45))
	r.floor.Move(fyne.NewPos(min(s.Width*float32(r.m.floor), s.Width-2), s.Height*0.55))
	r.floor.Hidden = r.m.floor <= 0
	r.bar.Hidden = r.m.filled <= 0
	r.peak.Hidden = r.m.hold <= 0
}

func (r *meterRenderer) Refresh() {
	l := r.m.look
	r.track.FillColor, r.track.CornerRadius = l.track, 2
	r.bar.FillColor, r.bar.CornerRadius = l.Pass, 2
	if r.m.hot {
		r.bar.FillColor = l.Remark
	}
	if r.m.over {
		r.bar.FillColor = l.Fail
	}
	r.peak.FillColor, r.floor.FillColor = l.Ink, l.Second
	r.Layout(r.m.Size())
	canvas.Refresh(r.m)
}
