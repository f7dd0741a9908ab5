package calibrate

import "sync"

// tracePoints is how many points a Trace keeps: minutes at a few a second.
const tracePoints = 2000

// Trace collects moments: the picture of level over time. The zero value is ready.
// It is safe for use from several goroutines.
type Trace struct {
	mu      sync.Mutex
	moments []Moment
	Next    Progress // told each moment after it was collected; nil: nobody
}

// Heard implements Progress.
func (t *Trace) Heard(m Moment) {
	t.mu.Lock()
	if len(t.moments) == tracePoints {
		t.moments = append(t.moments[:0], t.moments[1:]...)
	}
	t.moments = append(t.moments, m)
	t.mu.Unlock()
	if t.Next != nil {
		t.Next.Heard(m)
	}
}

// Moments returns a copy of what was collected, oldest first.
func (t *Trace) Moments() []Moment {
	t.mu.Lock()
	defer t.mu.Unlock()
	return append([]Moment(nil), t.moments...)
}

// Clear forgets what was collected.
func (t *Trace) Clear() {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.moments = nil
}
