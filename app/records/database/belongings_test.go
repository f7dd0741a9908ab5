package database

import (
	"context"
	"errors"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"stillroom/app/records"
)

func TestNotesAreAdded(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		ctx := records.By(t.Context(), "Jo Ferrer")
		keepAll(t, store, sampleTake(1, 10))
		unit := records.UnitID{Model: "Heron 6", Serial: "H6-0001"}
		keepDocument(t, store, records.Document{Kind: records.RigKind, Name: "bench", Body: []byte("{}")})
		for _, about := range []records.Subject{records.AboutTake(sampleTake(1, 0).ID), records.AboutUnit(unit), records.AboutDocument(records.RigKind, "bench")} {
			for _, text := range []string{"dome lot 118", "häng' \"nach\"\n2. Zeile"} {
				if err := store.AddNote(ctx, about, text); err != nil {
					t.Fatal(err)
				}
			}
			notes, err := store.Notes(ctx, about)
			want := []records.NoteEntry{{Who: "Jo Ferrer", Text: "dome lot 118"}, {Who: "Jo Ferrer", Text: "häng' \"nach\"\n2. Zeile"}}
			if diff := cmp.Diff(want, notes, cmpopts.IgnoreFields(records.NoteEntry{}, "At")); diff != "" || err != nil {
				t.Error(about, diff, err)
			}
		}
		for about, want := range map[records.Subject]error{
			records.AboutTake("x"): records.ErrNoTake, records.AboutUnit(records.UnitID{Model: "x"}): records.ErrNoUnit,
			records.AboutDocument(records.ModelKind, "bench"): records.ErrNoDocument, {Kind: records.UnitKind, ID: "%%"}: records.ErrNoUnit,
		} {
			if err := store.AddNote(ctx, about, "x"); !errors.Is(err, want) {
				t.Errorf("%v: %v, want %v", about, err, want)
			}
		}
		if err := store.AddNote(ctx, records.AboutUnit(unit), " "); err == nil {
			t.Error("an empty note is kept")
		}
	})
}

func TestTagsComeAndGo(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		ctx := t.Context()
		one, two := sampleTake(1, 10).ID, sampleTake(2, 10).ID
		keepAll(t, store, sampleTake(1, 10), sampleTake(2, 10))
		steps := []struct{ ids, add, remove []string }{
			{[]string{one, two}, []string{"golden", "to send"}, nil},
			{[]string{one}, []string{"golden", "Ü '"}, []string{"to send", "nothing"}},
		}
		for _, s := range steps {
			if err := store.Tag(ctx, s.ids, s.add, s.remove); err != nil {
				t.Fatal(err)
			}
		}
		rows, err := store.List(ctx, records.Query{})
		if err != nil || len(rows) != 2 || !slices.Equal(rows[1].Tags, []string{"golden", "Ü '"}) || !slices.Equal(rows[0].Tags, []string{"golden", "to send"}) {
			t.Errorf("%q %q %v", rows[0].Tags, rows[1].Tags, err)
		}
		for tag, want := range map[string]int{"golden": 2, "to send": 1, "Ü '": 1, "gold": 0} {
			if n, err := store.Count(ctx, records.Query{Tag: tag}, 0); n.Takes != want || err != nil {
				t.Errorf("%q: %d takes, want %d (%v)", tag, n.Takes, want, err)
			}
		}
		if err := store.Tag(ctx, []string{one, "nothing"}, []string{"x"}, nil); !errors.Is(err, records.ErrNoTake) {
			t.Errorf("tagging what is not there: %v", err)
		}
		if err := store.Tag(ctx, []string{one}, []string{""}, nil); err == nil {
			t.Error("an empty tag is kept")
		}
		if err := store.Delete(ctx, two); err != nil {
			t.Fatal(err)
		}
		if tags, err := store.Tags(ctx); err != nil || !slices.Equal(tags, []string{"golden", "Ü '"}) {
			t.Errorf("%q %v", tags, err)
		}
	})
}

// Three programs take numbers at once: each number is handed out once.
func TestNumbersAreAllottedOnce(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		const programs, each = 3, 40
		store := p.open(t)
		if n, err := store.Allot(t.Context(), "serial Lark", 70); n != 70 || err != nil {
			t.Errorf("%d %v", n, err)
		}
		var children []*keeper
		for range programs {
			children = append(children, startChild(t, "allot", p.url, 0, each))
		}
		var numbers []int
		for _, c := range children {
			for c.lines.Scan() {
				n, err := strconv.Atoi(c.lines.Text())
				if err != nil {
					t.Fatal(err)
				}
				numbers = append(numbers, n)
			}
			if err := c.cmd.Wait(); err != nil {
				t.Errorf("%v: %s", err, c.errs)
			}
		}
		slices.Sort(numbers)
		for i, n := range numbers {
			if n != i+1 {
				t.Fatalf("number %d at place %d", n, i)
			}
		}
		if len(numbers) != programs*each {
			t.Errorf("%d numbers", len(numbers))
		}
	})
}

// Another program's change is told within 2 s, and so is the own one.
func TestChangesAreTold(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		ctx, cancel := context.WithCancel(t.Context())
		changes, err := store.Watch(ctx)
		if err != nil {
			t.Fatal(err)
		}
		child := startKeeper(t, p.url, 5, 1)
		child.ids(func() {})
		began := time.Now() // the child has kept by now
		want := records.Change(records.AboutTake(sampleTake(5, 0).ID))
		awaitChange(t, changes, want, began)
		began = time.Now()
		if err := store.AddNote(ctx, records.AboutTake(want.ID), "told"); err != nil {
			t.Fatal(err)
		}
		awaitChange(t, changes, want, began)
		cancel()
		for range changes { // it is closed
		}
	})
}

// awaitChange wants the change, or one without a name, within 2 s.
func awaitChange(t *testing.T, changes <-chan records.Change, want records.Change, began time.Time) {
	t.Helper()
	for {
		select {
		case c, open := <-changes:
			if !open {
				t.Fatal("the watch has ended")
			}
			if c == want || c == (records.Change{}) {
				t.Logf("told after %v", time.Since(began).Round(time.Millisecond))
				return
			}
		case <-time.After(time.Until(began.Add(2 * time.Second))):
			t.Fatalf("nothing was told of %v within 2 s", want)
		}
	}
}

// Close ends the watching too.
func TestCloseEndsTheWatch(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		changes, err := store.Watch(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if err := store.Close(); err != nil {
			t.Fatal(err)
		}
		for range changes {
		}
	})
}
