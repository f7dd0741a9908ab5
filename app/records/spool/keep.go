package spool

import (
	"context"
	"fmt"

	"stillroom/app/records"
	"stillroom/app/take"
)

// Keep implements records.Store. Where the main store cannot be reached the takes wait
// on this machine, and Waits tells so. Where that cannot be done either the error says
// both, and nothing is kept.
func (s *Store) Keep(ctx context.Context, takes ...records.Kept) error {
	for _, k := range takes {
		if s.Waits(k.Take.ID) {
			return fmt.Errorf("take %s waits on this machine: %w", k.Take.ID, records.ErrExists)
		}
	}
	main, err := s.reach()
	if err == nil {
		err = s.met(main.Keep(ctx, takes...))
	}
	if err == nil || !records.Unreachable(err) {
		return err
	}
	// what was asked for is done although the asking ended meanwhile: the take is in hand
	if here := s.put(context.WithoutCancel(ctx), takes); here != nil {
		return fmt.Errorf("%w; it cannot wait on this machine either: %w", err, here)
	}
	s.tell()
	s.nudge()
	return nil
}

// Take implements records.Store.
func (s *Store) Take(ctx context.Context, id string) (*take.Take, error) {
	if path, waits := s.parcelOf(id); waits {
		var one *take.Take
		err := inParcel(ctx, path, func(store records.Store) (err error) {
			one, err = store.Take(ctx, id)
			return err
		})
		if err == nil || s.Waits(id) {
			return one, err
		} // else it went over meanwhile
	}
	return ask(s, func(main records.Store) (*take.Take, error) { return main.Take(ctx, id) })
}

// Delete implements records.Store. A take that waits is deleted where it waits, and is
// so when it goes over.
func (s *Store) Delete(ctx context.Context, ids ...string) error {
	return s.mark(ids, func(store records.Store, ids []string) error { return store.Delete(ctx, ids...) })
}

// Restore implements records.Store.
func (s *Store) Restore(ctx context.Context, ids ...string) error {
	return s.mark(ids, func(store records.Store, ids []string) error { return store.Restore(ctx, ids...) })
}

// mark does something with takes where each is. While it does, nothing goes over.
func (s *Store) mark(ids []string, do func(records.Store, []string) error) error {
	s.moved.Lock()
	defer s.moved.Unlock()
	var there []string
	here := map[string][]string{}
	for _, id := range ids {
		if path, waits := s.parcelOf(id); waits {
			here[path] = append(here[path], id)
		} else {
			there = append(there, id)
		}
	}
	if len(there) > 0 || len(ids) == 0 {
		if err := s.send(func(main records.Store) error { return do(main, there) }); err != nil {
			return err
		}
	}
	ctx := context.Background()
	for path, some := range here {
		if err := inParcel(ctx, path, func(store records.Store) error { return do(store, some) }); err != nil {
			return err
		}
		if err := s.relearn(ctx, path); err != nil {
			return err
		}
	}
	s.tell()
	return nil
}

// Tag implements records.Store.
func (s *Store) Tag(ctx context.Context, ids []string, add, remove []string) error {
	return s.mark(ids, func(store records.Store, ids []string) error { return store.Tag(ctx, ids, add, remove) })
}

// Shed implements records.Store.
func (s *Store) Shed(ctx context.Context, t *take.Take) error {
	if s.Waits(t.ID) {
		return fmt.Errorf("take %s waits on this machine: %w; try again when it went over", t.ID, records.ErrAway)
	}
	return s.send(func(main records.Store) error { return main.Shed(ctx, t) })
}
