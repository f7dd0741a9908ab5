package database

import (
	"errors"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"stillroom/app/records"
)

func TestATakeMakesItsUnitOnce(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		first, second, bare := sampleTake(1, 10), sampleTake(2, 10), sampleTake(3, 10)
		second.Subject = first.Subject
		second.Subject.Batch = "another"
		bare.Subject.Serial = ""
		keepAll(t, store, first, second, bare)
		units, err := store.Units(t.Context(), records.UnitQuery{})
		if err != nil {
			t.Fatal(err)
		}
		want := []records.Unit{{Model: "Heron 6", Serial: "H6-0001", Batch: "26-03", Status: records.Prototype, Person: "Mara Lind", Version: 1}}
		if diff := cmp.Diff(want, units, cmpopts.IgnoreFields(records.Unit{}, "At")); diff != "" {
			t.Error(diff)
		}
		counted, err := store.Count(t.Context(), records.Query{}, 0)
		if counted != (records.Counted{Takes: 3, Units: 1}) || err != nil {
			t.Errorf("%+v %v", counted, err)
		}
	})
}

func TestUnitsChangeByVersion(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		ctx := records.By(t.Context(), "Jo Ferrer")
		u := records.Unit{Model: "Wren / tweeter's", Serial: `W"50%_ü`, Batch: "26-03", Note: "dome lot 118"}
		if _, err := store.Unit(ctx, u.ID()); !errors.Is(err, records.ErrNoUnit) {
			t.Errorf("no unit: %v", err)
		}
		made, err := store.KeepUnit(ctx, u)
		if err != nil || made.Version != 1 || made.Status != records.Prototype || made.Person != "Jo Ferrer" {
			t.Fatalf("%+v %v", made, err)
		}
		if _, err := store.KeepUnit(ctx, u); !errors.Is(err, records.ErrExists) {
			t.Errorf("the same serial twice: %v", err)
		}
		mine, theirs := made, made
		mine.Status, theirs.Note = records.Failed, "scratched"
		if mine, err = store.KeepUnit(ctx, mine); err != nil || mine.Version != 2 {
			t.Fatalf("%+v %v", mine, err)
		}
		_, err = store.KeepUnit(records.By(t.Context(), "Mara Lind"), theirs)
		if !errors.Is(err, records.ErrChanged) || !strings.Contains(err.Error(), "Jo Ferrer") || records.Unreachable(err) {
			t.Errorf("an older version: %v", err)
		}
		if got, err := store.Unit(ctx, u.ID()); err != nil || !cmp.Equal(got, mine) {
			t.Errorf("%+v %v, want %+v", got, err, mine)
		}
		events, err := store.History(ctx, records.AboutUnit(u.ID()))
		want := []records.Event{{Who: "Jo Ferrer", What: records.WasKept}, {Who: "Jo Ferrer", What: records.WasChanged, Detail: "status prototype → failed"}}
		if diff := cmp.Diff(want, events, cmpopts.IgnoreFields(records.Event{}, "At")); diff != "" || err != nil {
			t.Error(diff, err)
		}
		for _, bad := range []records.Unit{{Model: "x"}, {Model: "x", Serial: "a\x00b"}, {Model: "x", Serial: "\xff"}} {
			if _, err := store.KeepUnit(ctx, bad); err == nil {
				t.Errorf("kept %+v", bad)
			}
		}
		gone := u
		gone.Serial, gone.Version = "nothing", 3
		if _, err := store.KeepUnit(ctx, gone); !errors.Is(err, records.ErrNoUnit) {
			t.Errorf("changing what is not there: %v", err)
		}
	})
}

// Of several who change one version at once, one succeeds and the others are told.
func TestOneOfManyChangesAVersion(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store, other := p.open(t), p.open(t)
		u, err := store.KeepUnit(t.Context(), records.Unit{Model: "Heron 6", Serial: "1"})
		if err != nil {
			t.Fatal(err)
		}
		rig := keepDocument(t, store, records.Document{Kind: records.RigKind, Name: "bench", Body: []byte("{}")})
		var work sync.WaitGroup
		results := make(chan error, 16)
		for i := range 8 {
			d := []*database{store, other}[i%2]
			work.Go(func() { _, err := d.KeepUnit(t.Context(), u); results <- err })
			work.Go(func() { _, err := d.KeepDocument(t.Context(), rig); results <- err })
		}
		work.Wait()
		close(results)
		done := 0
		for err := range results {
			switch {
			case err == nil:
				done++
			case !errors.Is(err, records.ErrChanged):
				t.Error(err)
			}
		}
		if done != 2 {
			t.Errorf("%d changes of two versions succeeded", done)
		}
	})
}

func TestUnitsAreFound(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		for _, u := range []records.Unit{
			{Model: "Wren tweeter", Serial: "a_1", Batch: "40"}, {Model: "Heron 6", Serial: "B2", Batch: "41", Status: records.Passed},
			{Model: "Ü", Serial: "Äß1"}, {Model: "Ü", Serial: "äß2"},
			{Model: "Heron 6", Serial: "b%1", Batch: "41"}, {Model: "Heron 6", Serial: "ab1", Batch: "40", Status: records.Passed},
		} {
			if _, err := store.KeepUnit(t.Context(), u); err != nil {
				t.Fatal(err)
			}
		}
		for _, test := range []struct {
			q    records.UnitQuery
			want string
		}{
			{records.UnitQuery{}, "B2 ab1 b%1 a_1 Äß1 äß2"},
			{records.UnitQuery{Search: "äß"}, "Äß1 äß2"},
			{records.UnitQuery{Search: "ÄSS"}, ""},
			{records.UnitQuery{Search: "Äß2"}, "äß2"},
			{records.UnitQuery{Model: "Heron 6"}, "B2 ab1 b%1"},
			{records.UnitQuery{Status: records.Passed, Batch: "41"}, "B2"},
			{records.UnitQuery{Search: "B"}, "B2 b%1"},
			{records.UnitQuery{Search: "b%"}, "b%1"},
			{records.UnitQuery{Search: "a_"}, "a_1"},
			{records.UnitQuery{Limit: 2, Offset: 1}, "ab1 b%1"},
		} {
			units, err := store.Units(t.Context(), test.q)
			var got []string
			for _, u := range units {
				got = append(got, u.Serial)
			}
			if strings.Join(got, " ") != test.want || err != nil {
				t.Errorf("%+v: %q, want %q (%v)", test.q, got, test.want, err)
			}
		}
	})
}
