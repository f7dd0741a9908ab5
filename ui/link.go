package ui

import (
	"math"

	"stillroom/app/chart"
)

// link joins charts that share their horizontal axis: one zoom, one cursor.
type link struct {
	home   chart.Axis // the axis as it was described
	shown  chart.Axis // the part that is shown
	cursor float64    // NaN: none
	snap   func(x float64) float64
	moved  func(x float64) // the cursor stands elsewhere
	views  []*chartView
}

func newLink(snap func(float64) float64, moved func(float64)) *link {
	return &link{cursor: math.NaN(), snap: snap, moved: moved}
}

// setHome takes an axis over from a new description. What is zoomed stays zoomed
// as long as the axis is the same.
func (l *link) setHome(a chart.Axis) {
	if l.home != a {
		l.home, l.shown = a, a
	}
}

// zoom shows less (factor below 1) or more around x, never more than all.
func (l *link) zoom(x, factor float64) {
	lo, hi, at := l.measure(l.shown.Min), l.measure(l.shown.Max), l.measure(x)
	l.show(at+(lo-at)*factor, at+(hi-at)*factor)
}

// zoomAtCursor zooms around the cursor, or around the middle where it is not in sight.
func (l *link) zoomAtCursor(factor float64) {
	lo, hi := l.measure(l.shown.Min), l.measure(l.shown.Max)
	at := l.cursor
	if m := l.measure(at); !(m >= lo && m <= hi) {
		at = l.value((lo + hi) / 2)
	}
	l.zoom(at, factor)
}

// pan moves what is shown so that from comes to where to is.
func (l *link) pan(from, to float64) {
	lo, hi := l.measure(l.shown.Min), l.measure(l.shown.Max)
	by := l.measure(from) - l.measure(to)
	home0, home1 := l.measure(l.home.Min), l.measure(l.home.Max)
	by = math.Min(math.Max(by, home0-lo), home1-hi)
	l.show(lo+by, hi+by)
}

// reset shows all.
func (l *link) reset() {
	l.shown = l.home
	l.redraw()
}

// show sets the visible range, in the measure of the axis. Ranges wider than all,
// or narrower than a hundredth of it, are not taken.
func (l *link) show(lo, hi float64) {
	home0, home1 := l.measure(l.home.Min), l.measure(l.home.Max)
	lo, hi = math.Max(lo, home0), math.Min(hi, home1)
	if hi-lo < (home1-home0)/100 {
		return
	}
	l.shown.Min, l.shown.Max = l.value(lo), l.value(hi)
	l.shown.Step = 0
	if lo == home0 && hi == home1 {
		l.shown = l.home
	}
	l.redraw()
}

func (l *link) measure(v float64) float64 {
	if l.home.Log {
		return math.Log10(v)
	}
	return v
}

func (l *link) value(m float64) float64 {
	if l.home.Log {
		return math.Pow(10, m)
	}
	return m
}

func (l *link) redraw() {
	for _, v := range l.views {
		v.rearrange()
	}
}

// point moves the cursor to the grid point nearest to x.
func (l *link) point(x float64) {
	if l.snap != nil {
		x = l.snap(x)
	}
	if x == l.cursor {
		return
	}
	l.cursor = x
	for _, v := range l.views {
		v.placeOverlay()
	}
	if l.moved != nil {
		l.moved(x)
	}
}
