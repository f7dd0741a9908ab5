package database

import (
	"context"
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"stillroom/app/records"
	"stillroom/test/servers"
)

// A server is stopped and killed while a program keeps. What the program was told as
// kept is there; what it was not told it keeps again; the same open store comes back
// by itself, and says what it cannot reach, without the password.
func TestServerGoesAndComesBackDuringSaves(t *testing.T) {
	t.Parallel()
	s := private(t)
	p := newSchema(t, s.URL("postgres", servers.Owner, s.Password, ""))
	store := p.open(t)
	changes, err := store.Watch(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	ctx, end := context.WithCancel(t.Context())
	defer end()
	var saving sync.WaitGroup
	savers := make([]saver, 2)
	for i := range savers {
		savers[i] = saver{store: store, from: i * 100000, secret: s.Password}
		saving.Go(func() { savers[i].run(ctx, t) })
	}
	for round := range 4 {
		time.Sleep(time.Duration(100+40*round) * time.Millisecond)
		down := s.Stop
		if round%2 == 1 {
			down = s.Kill
		}
		if err := down(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(100 * time.Millisecond)
		if err := s.Resume(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	time.Sleep(200 * time.Millisecond)
	end()
	saving.Wait()
	var told []string
	away := 0
	for _, one := range savers {
		told, away = append(told, one.told...), away+one.away
	}
	checkTold(t, store, told)
	if n, err := store.Count(t.Context(), records.Query{}, 0); err != nil || n.Takes < len(told) || n.Takes > len(told)+len(savers) {
		t.Errorf("%d takes are kept, %d were told (%v)", n.Takes, len(told), err)
	}
	if away < 4 || len(told) < 4 {
		t.Errorf("%d takes told and %d times away: the test proves too little", len(told), away)
	}
	t.Logf("%d takes told, %d times away, none lost", len(told), away)
	awaitWatch(t, store, changes)
}

// saver keeps one take after the other, and each again until it is told.
type saver struct {
	store  *database
	from   int
	secret string
	told   []string
	away   int
}

func (s *saver) run(ctx context.Context, t *testing.T) {
	for n := s.from; ctx.Err() == nil; {
		one := sampleTake(n, keptFrames(n))
		err := s.store.Keep(context.WithoutCancel(ctx), records.Kept{Take: one, Summary: sampleSummary()})
		switch {
		case err == nil, errors.Is(err, records.ErrExists): // it had arrived, though nobody could say so
			s.told = append(s.told, one.ID)
			n++
			continue
		case !errors.Is(err, records.ErrAway) || !records.Unreachable(err):
			t.Errorf("a server that is away is told as %v", err)
		case strings.Contains(err.Error(), s.secret) || strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), "network is up"):
			t.Errorf("the line is %q", err)
		}
		s.away++
		time.Sleep(10 * time.Millisecond)
	}
}

// awaitWatch wants that a watch that was there before tells of a change made now.
func awaitWatch(t *testing.T, store *database, changes <-chan records.Change) {
	t.Helper()
	end := time.After(10 * time.Second)
	for n := 0; ; n++ {
		if err := store.AddNote(t.Context(), records.AboutTake(sampleTake(0, 0).ID), "told"); err != nil {
			t.Fatal(err)
		}
		for quiet := time.After(time.Second); ; {
			select {
			case c := <-changes:
				if c == records.Change(records.AboutTake(sampleTake(0, 0).ID)) && n > 0 {
					return
				}
				continue
			case <-quiet:
			case <-end:
				t.Fatal("the watch does not come back")
			}
			break
		}
	}
}
