package database

import (
	"context"
	"time"

	"stillroom/app/records"
)

// teller hands changes to one who may read slowly. What does not fit is told as one
// change without a name as soon as there is room. It is for one goroutine.
type teller struct {
	out    chan records.Change
	missed bool
}

func newTeller() *teller { return &teller{out: make(chan records.Change, 64)} }

func (t *teller) tell(changes []records.Change) {
	if t.missed {
		changes = append([]records.Change{{}}, changes...)
		t.missed = false
	}
	for _, c := range changes {
		select {
		case t.out <- c:
		default:
			t.missed = true
			return
		}
	}
}

// end closes the channel.
func (t *teller) end() { close(t.out) }

// wait is true after so long, and false when ctx ends before.
func wait(ctx context.Context, long time.Duration) bool {
	timer := time.NewTimer(long)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-timer.C:
		return true
	}
}
