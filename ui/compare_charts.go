package ui

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"stillroom/app/board"
	"stillroom/app/chart"
	"stillroom/app/comparing"
)

// compareCharts are the charts of a board, one below the other: those over frequency
// share one zoom and cursor, and those over time another.
type compareCharts struct {
	view       *compareView
	box        *container.Scroll
	stack      *fyne.Container
	tone, time *link
	views      []board.View
	charts     []*chartView
	result     *comparing.Result
}

func newCompareCharts(v *compareView) *compareCharts {
	c := &compareCharts{view: v, stack: &fyne.Container{Layout: &chartStack{}}}
	c.tone = newLink(func(hz float64) float64 { return c.result.Snap(hz) }, v.moved)
	c.tone.cursor = startHz
	c.time = newLink(func(ms float64) float64 { return c.result.SnapTime(ms) }, nil)
	c.time.cursor = 0
	c.box = container.NewVScroll(c.stack)
	return c
}

// show draws what was worked out; until then what was there stays.
func (c *compareCharts) show(s comparing.State) {
	r := s.Result
	if r == nil || r == c.result || r.Problem != "" {
		return
	}
	c.result = r
	if !slices.Equal(c.views, r.Board.Views) {
		c.build(r)
	}
	for i, one := range r.Charts {
		c.charts[i].set(one)
		c.charts[i].Refresh()
	}
}

// build makes the charts of other views.
func (c *compareCharts) build(r *comparing.Result) {
	l := c.view.shell.look
	c.views, c.charts = r.Board.Views, nil
	var cards []fyne.CanvasObject
	c.tone.views, c.time.views = nil, nil
	heights := &chartStack{}
	for i, one := range r.Charts {
		of := c.time
		if one.X.Log {
			of = c.tone
		}
		v := newChartView(l, of)
		v.labels = newValueLabels(l)
		v.legend.skip = func(name string) bool { return c.result.Listed(name) }
		c.charts = append(c.charts, v)
		cards = append(cards, newCard(l, newInset(3, 3, 3, 3, v)))
		heights.parts = append(heights.parts, partOf(c.views[i]))
	}
	c.stack.Layout, c.stack.Objects = heights, cards
	c.stack.Refresh()
	c.box.Refresh()
}

// partOf is how tall a chart is beside others.
func partOf(v board.View) float32 {
	switch {
	case v == board.MagnitudeView:
		return 2.1
	case v.Map():
		return 1.6
	case v == board.DifferenceView:
		return 1.2
	}
	return 1
}

// chartStack gives each chart its part of the height, and not less than it needs to be
// read: a longer stack is scrolled.
type chartStack struct{ parts []float32 }

const (
	chartSpace   = 11
	few          = 4.4 // parts of a stack that is never scrolled in a window of usable size
	leastOfFew   = 108 // height of a chart of part 1
	leastOfOther = 150
)

func (h *chartStack) MinSize(o []fyne.CanvasObject) fyne.Size {
	least := float32(leastOfFew)
	if h.total() > few {
		least = leastOfOther
	}
	return fyne.NewSize(300, h.total()*least+chartSpace*float32(max(len(o)-1, 0)))
}

func (h *chartStack) total() (sum float32) {
	for _, p := range h.parts {
		sum += p
	}
	return sum
}

func (h *chartStack) Layout(o []fyne.CanvasObject, s fyne.Size) {
	free := s.Height - chartSpace*float32(len(o)-1)
	y := float32(0)
	for i := range o {
		height := float32(int(free * h.parts[i] / h.total()))
		o[i].Move(fyne.NewPos(0, y))
		o[i].Resize(fyne.NewSize(s.Width, height))
		y += height + chartSpace
	}
}

// step moves the cursor along the grid.
func (c *compareCharts) step(points int) {
	if len(c.tone.views) > 0 {
		c.tone.point(c.result.Step(c.tone.cursor, points))
		return
	}
	if len(c.time.views) > 0 {
		c.time.point(c.result.StepTime(c.time.cursor, points))
	}
}

// zoom shows less or more around the cursor.
func (c *compareCharts) zoom(factor float64) {
	for _, l := range []*link{c.tone, c.time} {
		if len(l.views) > 0 {
			l.zoomAtCursor(factor)
		}
	}
}

func (c *compareCharts) reset() {
	c.tone.reset()
	c.time.reset()
}

// shown are the charts as they are zoomed.
func (c *compareCharts) shown() []chart.Chart {
	var out []chart.Chart
	for _, v := range c.charts {
		out = append(out, v.plot.Chart())
	}
	return out
}
