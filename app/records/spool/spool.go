// Package spool is a records.Store before another one: what cannot be kept there
// because the place does not answer waits in files on this machine, and goes over by
// itself when it answers again. So a take in hand is never lost to a server, a network
// or a disk that is away.
//
// Each Keep that could not be done is one parcel: a SQLite file of its own, which has
// its name when it is whole and on the disk, and which is removed when the main store
// has what is in it. A file that is removed is nobody's any more, so several programs
// may share one folder.
//
// Rigs, models and references can be read while the main store is away, as they were
// read last, and be changed; what was changed goes over too. Serials, units and all
// other things wait for the main store.
package spool

import (
	"context"
	"errors"
	"fmt"
	"os"
	"sync"
	"time"

	"stillroom/app/records"
)

// Parts is what a Store is made of.
type Parts struct {
	Open   func(context.Context) (records.Store, error) // opens the main store
	Where  string                                       // of the main store, for people, without a password
	Folder string                                       // of what waits; made where it is needed
	Retry  time.Duration                                // between two tries; 0: 5 s
}

// Store is a main store with a spool before it. It is safe for use from several
// goroutines.
type Store struct {
	parts Parts
	stop  context.CancelFunc
	ended sync.WaitGroup
	wake  chan struct{} // something is to be done
	moved sync.Mutex    // one goroutine moves at a time
	shelf *shelf

	mu      sync.Mutex
	main    records.Store // nil: it was not reached yet
	opened  chan struct{} // closed when main is there
	away    error         // why it cannot be reached; nil: it answers
	parcels map[string]parcel
	changed []chan struct{}
}

// Open opens the main store, or begins without it where it cannot be reached: State
// says so then. Any other error of the main store is returned. What waits goes over in
// the background.
func Open(ctx context.Context, p Parts) (*Store, error) {
	if p.Retry == 0 {
		p.Retry = 5 * time.Second
	}
	main, err := p.Open(ctx)
	if err != nil && !records.Unreachable(err) {
		return nil, err
	}
	running, stop := context.WithCancel(context.WithoutCancel(ctx))
	s := &Store{parts: p, stop: stop, wake: make(chan struct{}, 1), opened: make(chan struct{}), away: err, parcels: map[string]parcel{}}
	s.shelf = newShelf(p.Folder)
	if err == nil {
		s.main = main
		close(s.opened)
	}
	if err := s.scan(ctx); err != nil {
		stop()
		if main != nil {
			err = errors.Join(err, main.Close())
		}
		return nil, err
	}
	s.ended.Add(1)
	go s.run(running)
	s.nudge()
	return s, nil
}

// State is how it stands with the spool.
type State struct {
	Waiting int   // takes that wait on this machine
	Away    error // why the main store cannot be reached; nil: it answers, as far as is known
}

// State returns how it stands.
func (s *Store) State() State {
	s.mu.Lock()
	defer s.mu.Unlock()
	return State{s.count(), s.away}
}

// Waiting returns how many takes wait on this machine.
func (s *Store) Waiting(context.Context) (int, error) { return s.State().Waiting, nil }

// Waits tells whether a take waits on this machine.
func (s *Store) Waits(id string) bool {
	_, found := s.parcelOf(id)
	return found
}

// Changes returns a channel that gets a value when the State has changed.
func (s *Store) Changes() <-chan struct{} {
	c := make(chan struct{}, 1)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.changed = append(s.changed, c)
	return c
}

// Where implements records.Store.
func (s *Store) Where() string {
	if main := s.mainNow(); main != nil {
		return main.Where()
	}
	return s.parts.Where
}

// Close ends the moving and closes the main store. What waits stays.
func (s *Store) Close() error {
	s.stop()
	s.ended.Wait()
	if main := s.mainNow(); main != nil {
		return main.Close()
	}
	return nil
}

func (s *Store) mainNow() records.Store {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.main
}

// reach is the main store, or why there is none.
func (s *Store) reach() (records.Store, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.main == nil {
		return nil, fmt.Errorf("the records at %s are away: %w", s.parts.Where, s.away)
	}
	return s.main, nil
}

// count is how many takes wait. The lock is held.
func (s *Store) count() int {
	n := 0
	for _, p := range s.parcels {
		n += len(p.rows)
	}
	return n
}

// met remembers whether the main store answered, and returns the error as it is.
func (s *Store) met(err error) error {
	if err != nil && !records.Unreachable(err) {
		return err // it answered: with a refusal
	}
	s.mu.Lock()
	changed := (s.away == nil) != (err == nil)
	s.away = err
	s.mu.Unlock()
	if changed {
		s.tell()
	}
	return err
}

// tell lets those who listen know that the state is another one.
func (s *Store) tell() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, c := range s.changed {
		select {
		case c <- struct{}{}:
		default:
		}
	}
}

// nudge wakes the moving.
func (s *Store) nudge() {
	select {
	case s.wake <- struct{}{}:
	default:
	}
}

// makeFolder makes the folder of what waits, for its owner only.
func (s *Store) makeFolder() error { return os.MkdirAll(s.parts.Folder, 0o700) }
