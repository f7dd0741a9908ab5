package spool

import (
	"context"
	"errors"
	"slices"
	"time"

	"stillroom/app/records"
)

// run moves what waits, whenever it is woken, and every now and then while something
// waits or the main store is away.
func (s *Store) run(ctx context.Context) {
	defer s.ended.Done()
	tick := time.NewTicker(s.parts.Retry)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-s.wake:
		case <-tick.C:
		}
		s.Move(ctx)
	}
}

// Move tries now to move what waits, and returns why something stays. It is what runs
// in the background by itself.
func (s *Store) Move(ctx context.Context) error {
	s.moved.Lock()
	defer s.moved.Unlock()
	before := s.State()
	defer func() {
		if now := s.State(); now.Waiting != before.Waiting {
			s.tell()
		}
	}()
	if err := s.scan(ctx); err != nil {
		return err
	}
	if err := s.openMain(ctx); err != nil {
		return err
	}
	if s.State().Away != nil { // does it answer again?
		if _, err := ask(s, func(main records.Store) ([]records.Document, error) { return main.Documents(ctx, records.RigKind) }); err != nil {
			return err
		}
	}
	var stays error
	for _, path := range s.paths() {
		if err := s.moveParcel(ctx, path); err != nil {
			stays = errors.Join(stays, err)
			if records.Unreachable(err) || ctx.Err() != nil {
				return stays
			}
		}
	}
	return errors.Join(stays, s.moveDocuments(ctx))
}

// openMain opens the main store where it was away so far.
func (s *Store) openMain(ctx context.Context) error {
	if s.mainNow() != nil {
		return nil
	}
	main, err := s.parts.Open(ctx)
	s.mu.Lock()
	s.away = err
	if err == nil {
		s.main = main
		close(s.opened)
	}
	s.mu.Unlock()
	if err == nil {
		s.tell()
	}
	return err
}

// paths are the parcels, oldest first.
func (s *Store) paths() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	var paths []string
	for path := range s.parcels {
		paths = append(paths, path)
	}
	slices.Sort(paths)
	return paths
}

// moveParcel brings one parcel over and removes it then. Killed at any moment in
// between it is done again: what is there already counts as moved.
func (s *Store) moveParcel(ctx context.Context, path string) error {
	var kept []records.Kept
	var tags [][]string
	var deleted []string
	err := inParcel(ctx, path, func(store records.Store) error {
		for whole, err := range store.Everything(ctx) {
			if err != nil {
				return err
			}
			if w := whole.Take; w != nil {
				kept, tags = append(kept, w.Kept), append(tags, w.Tags)
				if !w.DeletedAt.IsZero() {
					deleted = append(deleted, w.Take.ID)
				}
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	if err := s.over(ctx, kept); err != nil {
		return err
	}
	err = s.send(func(main records.Store) error { return s.alike(ctx, main, kept, tags, deleted) })
	if err != nil {
		return err
	}
	return s.remove(path)
}

// over keeps takes in the main store: together, or one by one where some are there.
func (s *Store) over(ctx context.Context, kept []records.Kept) error {
	all := func(some ...records.Kept) error {
		return s.send(func(main records.Store) error {
			return main.Keep(records.By(ctx, some[0].Take.Person), some...)
		})
	}
	if len(kept) == 0 {
		return nil
	}
	err := all(kept...)
	if !errors.Is(err, records.ErrExists) {
		return err
	}
	for _, k := range kept {
		if err := all(k); err != nil && !errors.Is(err, records.ErrExists) {
			return err
		}
	}
	return nil
}

// alike does to takes what was done to them while they waited.
func (s *Store) alike(ctx context.Context, main records.Store, kept []records.Kept, tags [][]string, deleted []string) error {
	for i, k := range kept {
		if len(tags[i]) == 0 {
			continue
		}
		if err := main.Tag(records.By(ctx, k.Take.Person), []string{k.Take.ID}, tags[i], nil); err != nil && !errors.Is(err, records.ErrNoTake) {
			return err
		}
	}
	for _, id := range deleted {
		if err := main.Delete(ctx, id); err != nil && !errors.Is(err, records.ErrNoTake) {
			return err
		}
	}
	return nil
}
