package spool

import (
	"context"
	"time"

	"stillroom/app/records"
)

// Watch implements records.Store. Takes that begin to wait, or went over, are a change
// as well.
func (s *Store) Watch(ctx context.Context) (<-chan records.Change, error) {
	out, own := make(chan records.Change, 16), s.Changes()
	first, err := s.watchMain(ctx)
	if err != nil {
		return nil, err
	}
	go func() {
		defer close(out)
		changes := first
		for {
			var change records.Change
			open := true
			select {
			case <-ctx.Done():
				return
			case <-own:
			case <-s.ready(changes):
				if changes, _ = s.watchMain(ctx); changes == nil && !s.pause(ctx) {
					return
				}
			case change, open = <-changes:
			}
			if !open { // the main store has ended it: ask again, in a while
				if changes = nil; !s.pause(ctx) {
					return
				}
				continue
			}
			select {
			case out <- change:
			case <-ctx.Done():
				return
			}
		}
	}()
	return out, nil
}

// ready is closed when the main store can be watched and is not; nil while it is.
func (s *Store) ready(changes <-chan records.Change) <-chan struct{} {
	if changes != nil {
		return nil
	}
	return s.opened
}

// watchMain watches the main store; nil where it is away.
func (s *Store) watchMain(ctx context.Context) (<-chan records.Change, error) {
	main := s.mainNow()
	if main == nil {
		return nil, nil
	}
	changes, err := main.Watch(ctx)
	if records.Unreachable(err) {
		return nil, nil
	}
	return changes, err
}

// pause waits for as long as lies between two tries; false where ctx ended.
func (s *Store) pause(ctx context.Context) bool {
	select {
	case <-ctx.Done():
		return false
	case <-time.After(s.parts.Retry):
		return true
	}
}
