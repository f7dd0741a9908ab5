package spool

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"stillroom/app/records"
	"stillroom/app/rig"
)

const never = time.Hour // nothing moves by itself

func TestTakesWaitAndGoOver(t *testing.T) {
	for _, why := range []error{records.ErrAway, records.ErrBusy, records.ErrFull, records.ErrReadOnly} {
		b := newBench(t)
		s := b.open(t, 10*time.Millisecond)
		changes := s.Changes()
		if err := s.Keep(t.Context(), sample(1)); err != nil || s.Waits(id(1)) {
			t.Fatalf("with a main store that answers: %v", err)
		}
		b.gate.shut(why)
		if err := s.Keep(t.Context(), sample(2), sample(3)); err != nil {
			t.Fatalf("%v: %v", why, err)
		}
		if st := s.State(); st.Waiting != 2 || !errors.Is(st.Away, why) || !s.Waits(id(3)) {
			t.Errorf("%v: %+v", why, st)
		}
		<-changes
		sameTake(t, s, 3)
		if err := s.Keep(t.Context(), sample(2)); !errors.Is(err, records.ErrExists) {
			t.Errorf("kept twice: %v", err)
		}
		b.gate.open()
		eventually(t, "two takes go over", func() bool { return s.State() == State{} })
		for n := 1; n <= 3; n++ {
			sameTake(t, b.main, n)
		}
		if left, err := os.ReadDir(b.folder); err != nil || len(left) > 1 { // what is known of the rigs
			t.Errorf("left behind: %v (%v)", left, err)
		}
		history, err := b.main.History(t.Context(), records.AboutTake(id(2)))
		if err != nil || len(history) != 1 || history[0].Who != "Mara Lind" {
			t.Errorf("%+v (%v)", history, err)
		}
	}
}

// The answer was lost, and the take had been kept: it goes over once.
func TestHalfKeptTakesGoOverOnce(t *testing.T) {
	b := newBench(t)
	s := b.open(t, never)
	b.gate.half = true
	b.gate.shut(records.ErrAway)
	for n := range 6 {
		if err := s.Keep(t.Context(), sample(n)); err != nil {
			t.Fatal(err)
		}
	}
	b.gate.open()
	if err := s.Move(t.Context()); err != nil || s.State().Waiting != 0 {
		t.Errorf("%v, %d wait", err, s.State().Waiting)
	}
	c, err := b.main.Count(t.Context(), records.Query{}, 0)
	if err != nil || c.Takes != 6 {
		t.Errorf("%d takes of 6 (%v)", c.Takes, err)
	}
}

func TestOpenedWhileAway(t *testing.T) {
	b := newBench(t)
	ctx := records.By(t.Context(), "Mara Lind")
	first := b.open(t, never)
	if err := records.Rigs(first).Put(ctx, rig.Rig{Name: "bench", LevelDBFS: -30}); err != nil {
		t.Fatal(err)
	}
	if err := b.main.Keep(t.Context(), sample(1)); err != nil {
		t.Fatal(err)
	}
	first.Close()

	b.gate.shut(records.ErrAway)
	s := b.open(t, never)
	if st := s.State(); st.Away == nil || s.Where() != "the shop's server" {
		t.Errorf("%+v, %s", st, s.Where())
	}
	got, err := records.Rigs(s).Get(ctx, "bench")
	if err != nil || got.Value.LevelDBFS != -30 {
		t.Fatalf("the rig as it was read last: %+v, %v", got, err)
	}
	if err := s.Keep(ctx, sample(2)); err != nil {
		t.Fatal(err)
	}
	rows, err := s.List(ctx, records.Query{Search: "heron h6-0002 cross"})
	if err != nil || len(rows) != 1 || rows[0].ID != id(2) {
		t.Errorf("%d rows, %v", len(rows), err)
	}
	if _, err := s.Allot(ctx, "serials", 1); !errors.Is(err, records.ErrAway) || strings.Contains(err.Error(), "\n") {
		t.Errorf("a serial was given out while away: %v", err)
	}
	b.gate.open()
	if err := s.Move(ctx); err != nil {
		t.Fatal(err)
	}
	rows, err = s.List(ctx, records.Query{})
	if err != nil || len(rows) != 2 || s.Where() != b.main.Where() {
		t.Errorf("after it is back: %d rows, %v", len(rows), err)
	}
}

// What was changed on this machine goes over; what somebody else changed meanwhile is
// never overwritten, and both changes stay.
func TestRigsChangedWhileAway(t *testing.T) {
	b := newBench(t)
	s := b.open(t, never)
	ctx := records.By(t.Context(), "Mara Lind")
	put := func(store records.Store, name string, levelDBFS float64) {
		t.Helper()
		if err := records.Rigs(store).Put(ctx, rig.Rig{Name: name, LevelDBFS: levelDBFS}); err != nil {
			t.Fatal(err)
		}
	}
	put(s, "mine", -40)
	put(s, "ours", -40)
	if _, err := records.Rigs(s).All(ctx); err != nil {
		t.Fatal(err)
	}
	b.gate.shut(records.ErrAway)
	put(s, "mine", -30)
	put(s, "ours", -30)
	put(s, "mine", -20)
	put(s, "new", -10)
	put(b.main, "ours", -6) // another bench
	s.Close()
	s = b.open(t, never) // and the program began anew in between
	if r, err := records.Rigs(s).Get(ctx, "mine"); err != nil || r.Value.LevelDBFS != -20 {
		t.Errorf("%+v, %v", r, err)
	}
	b.gate.open()
	if err := s.Move(ctx); err != nil {
		t.Fatal(err)
	}
	if err := s.Move(ctx); err != nil {
		t.Fatal(err)
	}
	rigs, err := records.Rigs(b.main).Values(ctx)
	if err != nil {
		t.Fatal(err)
	}
	levels := map[string]float64{}
	for _, r := range rigs {
		levels[strings.SplitN(r.Name, ",", 2)[0]] = r.LevelDBFS
	}
	aside := "ours (changed by Mara Lind while the records were away"
	for name, want := range map[string]float64{"mine": -20, "ours": -6, "new": -10, aside: -30} {
		if levels[name] != want {
			t.Errorf("%s: %g dBFS, want %g", name, levels[name], want)
		}
	}
	if len(rigs) != 4 {
		t.Errorf("%d rigs: %v", len(rigs), levels)
	}
}

func TestWhatIsDeletedWhileItWaits(t *testing.T) {
	b := newBench(t)
	s := b.open(t, never)
	b.gate.shut(records.ErrAway)
	if err := s.Keep(t.Context(), sample(1), sample(2)); err != nil {
		t.Fatal(err)
	}
	for _, do := range []func(context.Context, ...string) error{s.Delete, s.Restore, s.Delete} {
		if err := do(t.Context(), id(1)); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Tag(t.Context(), []string{id(2)}, []string{"odd"}, nil); err != nil {
		t.Fatal(err)
	}
	if rows, err := s.List(t.Context(), records.Query{Tag: "odd"}); err != nil || len(rows) != 1 || s.State().Waiting != 1 {
		t.Errorf("%v, %v, %+v", rows, err, s.State())
	}
	if _, err := s.Take(t.Context(), id(1)); !errors.Is(err, records.ErrNoTake) {
		t.Errorf("a deleted take: %v", err)
	}
	b.gate.open()
	if err := s.Move(t.Context()); err != nil {
		t.Fatal(err)
	}
	rows, err := b.main.List(t.Context(), records.Query{})
	if err != nil || len(rows) != 1 || rows[0].ID != id(2) || len(rows[0].Tags) != 1 {
		t.Errorf("%+v, %v", rows, err)
	}
	if rows, err = b.main.List(t.Context(), records.Query{Deleted: true}); err != nil || len(rows) != 1 || rows[0].ID != id(1) {
		t.Errorf("deleted: %+v, %v", rows, err)
	}
}

func TestPagesRunOnBehindWhatWaits(t *testing.T) {
	b := newBench(t)
	s := b.open(t, never)
	for n := range 5 {
		if err := b.main.Keep(t.Context(), sample(n)); err != nil {
			t.Fatal(err)
		}
	}
	b.gate.shut(records.ErrAway)
	if err := s.Keep(t.Context(), sample(10)); err != nil {
		t.Fatal(err)
	}
	if err := s.Keep(t.Context(), sample(11)); err != nil {
		t.Fatal(err)
	}
	b.gate.open()
	var all []string
	for offset := 0; offset < 8; offset += 3 {
		rows, err := s.List(t.Context(), records.Query{Limit: 3, Offset: offset})
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rows {
			all = append(all, r.ID)
		}
	}
	want := []string{id(11), id(10), id(4), id(3), id(2), id(1), id(0)}
	if strings.Join(all, " ") != strings.Join(want, " ") {
		t.Errorf("%v", all)
	}
	if c, err := s.Count(t.Context(), records.Query{}, 0); err != nil || c.Takes != 7 {
		t.Errorf("%+v, %v", c, err)
	}
}

// Where both are full nothing is kept, and that is said in one line.
func TestNothingIsKeptWhereNothingCanBe(t *testing.T) {
	b := newBench(t)
	if err := os.WriteFile(b.folder, []byte("a file where the folder should be"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), Parts{Folder: b.folder, Open: func(context.Context) (records.Store, error) { return kept{b.gate}, nil }}); err == nil {
		t.Error("opened on a folder that is none")
	}
	if err := os.Remove(b.folder); err != nil {
		t.Fatal(err)
	}
	s := b.open(t, never)
	if err := os.WriteFile(b.folder, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	b.gate.shut(records.ErrFull)
	err := s.Keep(t.Context(), sample(1))
	if !errors.Is(err, records.ErrFull) || strings.Contains(err.Error(), "\n") || s.Waits(id(1)) || s.State().Waiting != 0 {
		t.Errorf("%v, %+v", err, s.State())
	}
}

// What a refusal is about is not the place: nothing waits.
func TestARefusalIsNotSpooled(t *testing.T) {
	b := newBench(t)
	s := b.open(t, never)
	bad := sample(1)
	bad.Take.ID = ""
	if err := s.Keep(t.Context(), bad); err == nil || s.State().Waiting != 0 {
		t.Errorf("%v, %+v", err, s.State())
	}
	b.gate.shut(records.ErrNotAllowed)
	if err := s.Keep(t.Context(), sample(1)); !errors.Is(err, records.ErrNotAllowed) || s.State().Waiting != 0 {
		t.Errorf("%v, %+v", err, s.State())
	}
}

func TestDraftsOfTheDeadAreCleared(t *testing.T) {
	b := newBench(t)
	old, fresh := filepath.Join(b.folder, draftHead+"1"), filepath.Join(b.folder, draftHead+"2")
	for _, f := range []string{old, fresh} {
		if err := os.MkdirAll(f, 0o700); err != nil {
			t.Fatal(err)
		}
	}
	day := time.Now().Add(-24 * time.Hour)
	if err := os.Chtimes(old, day, day); err != nil {
		t.Fatal(err)
	}
	b.open(t, never)
	_, gone := os.Stat(old)
	_, there := os.Stat(fresh)
	if !os.IsNotExist(gone) || there != nil {
		t.Errorf("%v, %v", gone, there)
	}
}

func TestWatchTellsOfBoth(t *testing.T) {
	b := newBench(t)
	b.gate.shut(records.ErrAway)
	s := b.open(t, 10*time.Millisecond)
	changes, err := s.Watch(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Keep(t.Context(), sample(1)); err != nil {
		t.Fatal(err)
	}
	<-changes
	b.gate.open()
	eventually(t, "it goes over", func() bool { return s.State().Waiting == 0 })
	if err := b.main.Keep(t.Context(), sample(2)); err != nil { // another bench
		t.Fatal(err)
	}
	deadline := time.After(5 * time.Second)
	for {
		select {
		case c := <-changes:
			if (c == records.Change{} || c == records.Change(records.AboutTake(id(2)))) {
				if _, err := s.Take(t.Context(), id(2)); err == nil {
					return
				}
			}
		case <-deadline:
			t.Fatal("nothing was told of another bench's take")
		}
	}
}
