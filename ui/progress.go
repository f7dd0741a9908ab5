package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// progressBar is a thin bar along the foot of the head while something runs.
type progressBar struct {
	widget.BaseWidget
	look *look
	part float64
	on   bool
}

func newProgressBar(l *look) *progressBar {
	p := &progressBar{look: l}
	p.ExtendBaseWidget(p)
	return p
}

func (p *progressBar) set(part float64, on bool) {
	if p.part != part || p.on != on {
		p.part, p.on = part, on
		p.Refresh()
	}
}

// CreateRenderer makes the bar.
func (p *progressBar) CreateRenderer() fyne.WidgetRenderer {
	r := &progressRenderer{p, canvas.NewRectangle(nil)}
	r.Refresh()
	return r
}

type progressRenderer struct {
	p   *progressBar
	bar *canvas.Rectangle
}

func (r *progressRenderer) Destroy()                     {}
func (r *progressRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.bar} }
func (r *progressRenderer) MinSize() fyne.Size           { return fyne.NewSize(10, 3) }

func (r *progressRenderer) Layout(s fyne.Size) {
	r.bar.Resize(fyne.NewSize(s.Width*float32(r.p.part), s.Height))
	r.bar.Hidden = !r.p.on
}

func (r *progressRenderer) Refresh() {
	r.bar.FillColor = r.p.look.Accent
	r.Layout(r.p.Size())
	canvas.Refresh(r.p)
}
