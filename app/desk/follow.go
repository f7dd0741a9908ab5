package desk

import (
	"context"
	"time"

	"stillroom/app/records"
)

const (
	gatherChanges = 100 * time.Millisecond // changes that come one upon the other are shown together
	restAfter     = 300 * time.Millisecond // between two refreshes
	watchAgain    = 5 * time.Second        // where the records cannot be watched just now
)

// Follow shows what this and other programs change in the records, within 2 s, until
// ctx ends. Where the records cannot be watched it tries again by and by.
func (d *Desk) Follow(ctx context.Context) error {
	for {
		changes, err := d.parts.Records.Watch(ctx)
		if err == nil {
			d.follow(ctx, changes)
		}
		if !pause(ctx, watchAgain) {
			return ctx.Err()
		}
	}
}

// follow refreshes the list after each burst of changes until no more are told.
func (d *Desk) follow(ctx context.Context, changes <-chan records.Change) {
	for c := range changes {
		list := d.concernsList(c)
		for timer := time.After(gatherChanges); timer != nil; {
			select {
			case more, open := <-changes:
				list = list || open && d.concernsList(more)
				if !open {
					timer = nil
				}
			case <-timer:
				timer = nil
			}
		}
		if list {
			_ = d.Refresh(ctx) // the desk has told it to the reader
		}
		_ = d.LoadDetail(ctx)
		if !pause(ctx, restAfter) {
			return
		}
	}
}

// concernsList tells whether a change may change the list.
func (d *Desk) concernsList(c records.Change) bool {
	return c.Kind == "" || c.Kind == records.TakeKind || c.Kind == records.UnitKind
}

// pause waits; false where ctx ended before.
func pause(ctx context.Context, long time.Duration) bool {
	timer := time.NewTimer(long)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-timer.C:
		return true
	}
}
