package spool

import (
	"context"
	"errors"
	"fmt"
	"iter"

	"stillroom/app/records"
)

// ask asks the main store.
func ask[T any](s *Store, question func(records.Store) (T, error)) (T, error) {
	main, err := s.reach()
	if err != nil {
		var none T
		return none, err
	}
	answer, err := question(main)
	return answer, s.met(err)
}

// send lets the main store do something.
func (s *Store) send(do func(records.Store) error) error {
	_, err := ask(s, func(main records.Store) (struct{}, error) { return struct{}{}, do(main) })
	return err
}

// Tags implements records.Store.
func (s *Store) Tags(ctx context.Context) ([]string, error) {
	return ask(s, func(main records.Store) ([]string, error) { return main.Tags(ctx) })
}

// Models implements records.Store.
func (s *Store) Models(ctx context.Context) ([]string, error) {
	return ask(s, func(main records.Store) ([]string, error) { return main.Models(ctx) })
}

// Unit implements records.Store.
func (s *Store) Unit(ctx context.Context, id records.UnitID) (records.Unit, error) {
	return ask(s, func(main records.Store) (records.Unit, error) { return main.Unit(ctx, id) })
}

// KeepUnit implements records.Store.
func (s *Store) KeepUnit(ctx context.Context, u records.Unit) (records.Unit, error) {
	kept, err := ask(s, func(main records.Store) (records.Unit, error) { return main.KeepUnit(ctx, u) })
	if err != nil {
		return u, err
	}
	return kept, nil
}

// Units implements records.Store.
func (s *Store) Units(ctx context.Context, q records.UnitQuery) ([]records.Unit, error) {
	return ask(s, func(main records.Store) ([]records.Unit, error) { return main.Units(ctx, q) })
}

// Allot implements records.Store.
func (s *Store) Allot(ctx context.Context, counter string, first int) (int, error) {
	return ask(s, func(main records.Store) (int, error) { return main.Allot(ctx, counter, first) })
}

// AddNote implements records.Store. A note about a take that waits is refused until it
// went over.
func (s *Store) AddNote(ctx context.Context, about records.Subject, text string) error {
	if about.Kind == records.TakeKind && s.Waits(about.ID) {
		return fmt.Errorf("take %s waits on this machine: %w; write the note when it went over", about.ID, records.ErrAway)
	}
	return s.send(func(main records.Store) error { return main.AddNote(ctx, about, text) })
}

// Notes implements records.Store.
func (s *Store) Notes(ctx context.Context, about records.Subject) ([]records.NoteEntry, error) {
	return inside(ctx, s, about, func(store records.Store) ([]records.NoteEntry, error) { return store.Notes(ctx, about) })
}

// History implements records.Store.
func (s *Store) History(ctx context.Context, about records.Subject) ([]records.Event, error) {
	return inside(ctx, s, about, func(store records.Store) ([]records.Event, error) { return store.History(ctx, about) })
}

// inside asks the parcel of a take that waits, and the main store otherwise.
func inside[T any](ctx context.Context, s *Store, about records.Subject, question func(records.Store) (T, error)) (T, error) {
	if path, waits := s.parcelOf(about.ID); waits && about.Kind == records.TakeKind {
		var answer T
		err := inParcel(ctx, path, func(store records.Store) (err error) {
			answer, err = question(store)
			return err
		})
		return answer, err
	}
	return ask(s, question)
}

// Everything implements records.Store: of the main store.
func (s *Store) Everything(ctx context.Context) iter.Seq2[records.Whole, error] {
	main, err := s.reach()
	if err != nil {
		return func(yield func(records.Whole, error) bool) { yield(records.Whole{}, err) }
	}
	return main.Everything(ctx)
}

// Import implements records.Store.
func (s *Store) Import(ctx context.Context, things ...records.Whole) error {
	return s.send(func(main records.Store) error { return main.Import(ctx, things...) })
}

// Backup implements records.Store. What waits on this machine is not in it, so it is
// refused while something waits.
func (s *Store) Backup(ctx context.Context, path string) error {
	if n := s.State().Waiting; n > 0 {
		return errors.New("takes wait on this machine and would be missing: back up when they went over")
	}
	return s.send(func(main records.Store) error { return main.Backup(ctx, path) })
}
