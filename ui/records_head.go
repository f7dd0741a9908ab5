package ui

import (
	"context"
	"fmt"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"stillroom/app/desk"
)

// recordsHead is the head of the room: what is looked for, the filters, what can be
// done with what is selected.
type recordsHead struct {
	view    *recordsView
	box     *fyne.Container
	find    *entry
	typing  *time.Timer
	chips   []*filterChip
	compare *button
}

// searchPause is how long typing rests before the records are searched.
const searchPause = 60 * time.Millisecond

func newRecordsHead(v *recordsView) *recordsHead {
	s := v.shell
	h := &recordsHead{view: v, find: s.entry()}
	h.find.SetPlaceHolder("Find model, serial, batch, person, note, day")
	h.find.OnChanged = h.typed
	h.find.OnSubmitted = func(string) { s.window.Canvas().Unfocus() }
	objects := []fyne.CanvasObject{container.NewStack(h.find)}
	for _, f := range desk.Filters() {
		chip := newFilterChip(v, f)
		h.chips = append(h.chips, chip)
		objects = append(objects, chip)
	}
	h.compare = s.primary("Compare", "", v.compare)
	objects = append(objects, h.compare)
	h.box = &fyne.Container{Layout: &headLayout{h}, Objects: objects}
	return h
}

// typed searches once typing rests. What was typed is asked for at once, so that a
// search that is under way ends.
func (h *recordsHead) typed(text string) {
	s := h.view.shell
	if h.typing != nil {
		h.typing.Stop()
	}
	if text == s.desk.State().Listing.Asked.Text {
		return
	}
	s.desk.Ask(func(q *desk.Search) { q.Text = text })
	h.typing = time.AfterFunc(searchPause, func() {
		s.hop.run(func() { s.run(func(ctx context.Context) error { return s.desk.Answer(ctx) }) })
	})
}

// show brings the head up to date.
func (h *recordsHead) show(l desk.Listing, canCompare bool) {
	for _, c := range h.chips {
		c.set(l.Asked)
	}
	h.find.setText(l.Asked.Text, h.view.shell.window.Canvas().Focused() == h.find)
	text := "Compare"
	if n := len(l.Selected); n > 0 {
		text = fmt.Sprintf("Compare %d", n)
	}
	h.compare.set(text, "", len(l.Selected) > 1)
	h.compare.Hidden = !canCompare
	h.box.Refresh()
}

// headLayout gives the search its width, or less where there is no room; the chips
// stand after it, in few words where their long ones have no room; the keys stand at
// the right.
type headLayout struct{ h *recordsHead }

func (headLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(600, o[0].MinSize().Height)
}

func (l *headLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	const space, widest, narrowest = 12, 370, 190
	put := func(o fyne.CanvasObject, x, w float32) {
		h := o.MinSize().Height
		o.Move(fyne.NewPos(x, float32(int((s.Height-h)/2))))
		o.Resize(fyne.NewSize(w, h))
	}
	right := s.Width
	keys := visible(o[1+len(l.h.chips):])
	for i := len(keys) - 1; i >= 0; i-- {
		w := keys[i].MinSize().Width
		right -= w
		put(keys[i], right, w)
		right -= space
	}
	terse := false
	need := func() float32 {
		w := float32(0)
		for _, c := range l.h.chips {
			w += c.width(terse) + space
		}
		return w
	}
	terse = right-need()-narrowest < 0
	find := max(min(widest, right-need()-space), narrowest)
	put(o[0], 0, find)
	x := find + space + 2
	for _, c := range l.h.chips {
		if c.terse != terse {
			c.terse = terse
			c.Refresh()
		}
		w := c.width(terse)
		put(c, x, w)
		x += w + space
	}
}
