package ui

import (
	"context"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"stillroom/app/desk"
)

// recordList shows the part of a long list that has room. It counts its place in rows
// and not in pixels, so that a million of them scroll as smoothly as ten; it has only
// as many lines as are seen, and asks the desk for the rows that it needs.
type recordList struct {
	widget.BaseWidget
	view    *recordsView
	listing desk.Listing
	top     float64 // the row at the upper edge
	turn    int     // of the search that is shown
	pages   [2]int  // that the desk was asked for last
	lines   []*recordRow
	inside  *fyne.Container
	bar     *scrollBar
}

func newRecordList(v *recordsView) *recordList {
	l := &recordList{view: v, inside: container.NewWithoutLayout(), pages: [2]int{-1, -1}}
	l.bar = newScrollBar(v.shell.look, l.scrollTo)
	l.ExtendBaseWidget(l)
	return l
}

// set shows another state of the list. After another search it begins at the top; else
// the rows that are seen stay where they are, whatever came or went above them.
func (l *recordList) set(now desk.Listing) {
	before := l.listing
	l.listing = now
	if now.Turn != l.turn {
		l.turn, l.top, l.pages = now.Turn, 0, [2]int{-1, -1}
	} else if l.top > 0 {
		first := int(l.top)
		if e, ok := before.Row(first); ok {
			if row := now.RowOf(e.ID); row >= 0 {
				l.top += float64(row - first)
			}
		}
	}
	l.arrange()
}

// seen is how many rows have room, the last one perhaps in part.
func (l *recordList) seen() float64 { return float64(l.Size().Height) / recordHeight }

// scrollTo puts a row, or a part of one, at the upper edge.
func (l *recordList) scrollTo(top float64) {
	l.top = top
	l.arrange()
}

// Scrolled moves the list by the wheel.
func (l *recordList) Scrolled(e *fyne.ScrollEvent) {
	l.scrollTo(l.top - float64(e.Scrolled.DY)/recordHeight)
}

// reveal scrolls as little as needed for a row to be seen whole.
func (l *recordList) reveal(row int) {
	at := float64(row)
	l.scrollTo(max(min(l.top, at), at+1-l.seen()))
}

// page is how many rows a page key moves by.
func (l *recordList) page() int { return max(int(l.seen())-1, 1) }

// arrange puts the lines where their rows are seen.
func (l *recordList) arrange() {
	size, length := l.Size(), l.listing.Len()
	l.top = max(min(l.top, float64(length)-l.seen()), 0)
	first := int(l.top)
	need := min(int(math.Ceil(l.seen()))+1, length-first)
	for len(l.lines) < need {
		r := newRecordRow(l.view)
		l.lines = append(l.lines, r)
		l.inside.Add(r)
	}
	for i, r := range l.lines {
		if i >= need {
			r.Hide()
			continue
		}
		r.Show()
		r.Move(fyne.NewPos(0, float32((float64(first+i)-l.top)*recordHeight)))
		r.Resize(fyne.NewSize(size.Width-scrollBarWidth, recordHeight))
		r.set(l.listing, first+i)
	}
	l.bar.set(l.top, l.seen(), length)
	l.ask(first, first+max(need-1, 0))
}

// ask tells the desk which rows are seen, where others are than before, or where some
// are not held.
func (l *recordList) ask(first, last int) {
	pages := [2]int{first / askEvery, last / askEvery}
	if pages == l.pages && l.listing.Holds(first, last) {
		return
	}
	l.pages = pages
	s := l.view.shell
	s.run(func(ctx context.Context) error { return s.desk.Reach(ctx, first, last) })
}

// askEvery is how many rows the list may move before the desk is told.
const askEvery = 25

// CreateRenderer shows the lines, cut off at the edges, and the bar.
func (l *recordList) CreateRenderer() fyne.WidgetRenderer {
	return &recordListRenderer{l, container.NewClip(l.inside)}
}

type recordListRenderer struct {
	l    *recordList
	clip *container.Clip
}

func (r *recordListRenderer) Destroy()           {}
func (r *recordListRenderer) MinSize() fyne.Size { return fyne.NewSize(300, 3*recordHeight) }

func (r *recordListRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.clip, r.l.bar}
}

func (r *recordListRenderer) Layout(s fyne.Size) {
	r.clip.Resize(s)
	r.l.inside.Resize(s)
	r.l.bar.Move(fyne.NewPos(s.Width-scrollBarWidth, 0))
	r.l.bar.Resize(fyne.NewSize(scrollBarWidth, s.Height))
	r.l.arrange()
}

func (r *recordListRenderer) Refresh() {
	for _, one := range r.l.lines {
		one.key = rowKey{}
	}
	r.l.arrange()
	r.l.bar.Refresh()
	canvas.Refresh(r.l)
}
