package ui

import (
	"sync"
	"time"

	"stillroom/app/desk"
)

// hop is the one place where a change comes over from other goroutines to the
// event thread. It gathers what changed and hands it over at most 30 times a
// second, and not at all when nothing changed.
type hop struct {
	do   func(func())     // does a thing on the event thread, soon
	show func(desk.Topic) // called on the event thread

	mu      sync.Mutex
	changed desk.Topic
	pending bool
	last    time.Time
}

// frame is the shortest time between two updates of the window.
const frame = time.Second / 30

// DeskChanged notes what changed and sees that it is shown soon. It may be called
// from any goroutine.
func (h *hop) DeskChanged(t desk.Topic) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.changed |= t
	if h.pending {
		return
	}
	h.pending = true
	wait := frame - time.Since(h.last)
	if wait <= 0 {
		wait = 0
	}
	time.AfterFunc(wait, func() { h.run(h.deliver) })
}

// run does f on the event thread.
func (h *hop) run(f func()) { h.do(f) }

// deliver shows all that changed since the last time. It runs on the event thread.
func (h *hop) deliver() {
	h.mu.Lock()
	changed := h.changed
	h.changed, h.pending, h.last = 0, false, time.Now()
	h.mu.Unlock()
	if changed != 0 {
		h.show(changed)
	}
}
