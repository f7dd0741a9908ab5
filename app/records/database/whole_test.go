package database

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"stillroom/app/records"
)

// Everything that one engine keeps goes into the other and back, and is the same:
// bits, times, persons, versions, notes, tags, what is deleted, what happened.
func TestEverythingGoesFromEngineToEngineAndBack(t *testing.T) {
	ctx := t.Context()
	first := newStore(t)
	keepSome(t, first)
	want := everything(t, first)
	if len(want) != 8 { // 1 counter, 2 rigs, 2 units, 3 takes
		t.Fatalf("%d things", len(want))
	}
	second, third := newSchema(t, sharedAddress(t)).open(t), newStore(t)
	if err := second.Import(records.By(ctx, "nobody here"), want...); err != nil {
		t.Fatal(err)
	}
	if err := third.Import(ctx, everything(t, second)...); err != nil {
		t.Fatal(err)
	}
	for _, store := range []*database{second, third} {
		got := everything(t, store)
		for i := range min(len(got), len(want)) {
			if got[i].Take == nil {
				continue
			}
			if !sameBits(got[i].Take.Take.Capture.Channels, want[i].Take.Take.Capture.Channels) {
				t.Errorf("%s: take %s has another recording", store.place, got[i].Take.Take.ID)
			}
		}
		if diff := cmp.Diff(want, got, cmpopts.EquateNaNs()); diff != "" {
			t.Errorf("%s:\n%s", store.place, diff)
		}
		for _, q := range []records.Query{{}, {Search: "golden"}, {Deleted: true}, {Status: records.Failed}} {
			a, err1 := first.List(ctx, q)
			b, err2 := store.List(ctx, q)
			if diff := cmp.Diff(a, b, cmpopts.EquateNaNs()); diff != "" || errors.Join(err1, err2) != nil || len(a) == 0 {
				t.Errorf("%s: %+v: %d rows, %v\n%s", store.place, q, len(a), errors.Join(err1, err2), diff)
			}
		}
		if n, err := store.Allot(ctx, "serial", 1); n != 8 || err != nil {
			t.Errorf("%s: the counter goes on with %d (%v)", store.place, n, err)
		}
	}
}

// keepSome keeps some of everything.
func keepSome(t *testing.T, d *database) {
	t.Helper()
	ctx := records.By(t.Context(), `Jo "Ü" O'Ferrer`)
	must := func(errs ...error) {
		t.Helper()
		if err := errors.Join(errs...); err != nil {
			t.Fatal(err)
		}
	}
	odd, deleted, bare := sampleTake(1, 300), sampleTake(2, 300), sampleTake(3, 300)
	odd.Capture.Channels[0][0] = math.Float32frombits(0x7fc00123)
	odd.Capture.Channels[0][1] = float32(math.Copysign(0, -1))
	odd.Subject.Note = "— 'ß' \"漢字\"\n\t🔊"
	keepAll(t, d, odd, deleted, bare)
	must(d.Tag(ctx, []string{odd.ID, deleted.ID}, []string{"golden", "Ü '"}, nil), d.Delete(ctx, deleted.ID))
	must(d.Shed(ctx, shed(sampleTake(3, 0))))
	must(d.AddNote(ctx, records.AboutTake(odd.ID), "häng' nach"))
	u, err := d.Unit(ctx, records.UnitID{Model: "Heron 6", Serial: "H6-0001"})
	must(err)
	u.Status, u.Note = records.Failed, "rubs at 40 Hz"
	_, err = d.KeepUnit(ctx, u)
	must(err, d.AddNote(ctx, records.AboutUnit(u.ID()), "back to the bench"))
	for _, name := range []string{"bench", "Öde 'Box'"} {
		keepAs(t, d, "Mara Lind", records.Document{Kind: records.RigKind, Name: name, Body: []byte(`{"Name": "x"}`)})
	}
	must(d.DeleteDocument(ctx, records.RigKind, "bench"))
	_, err = d.Allot(ctx, "serial", 7)
	must(err)
	if _, err := d.read().exec(ctx, "DELETE FROM unit WHERE serial = 'H6-0003'"); err != nil {
		t.Fatal(err)
	}
	if _, err := d.read().exec(ctx, "DELETE FROM event WHERE kind = 'unit' AND subject LIKE '%H6-0003'"); err != nil {
		t.Fatal(err)
	}
}

func everything(t *testing.T, d *database) []records.Whole {
	t.Helper()
	var all []records.Whole
	for one, err := range d.Everything(t.Context()) {
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, one)
	}
	return all
}

// A walk tells of what is damaged and goes on; and it sees one moment, whatever is
// kept meanwhile.
func TestAWalkGoesOnAfterDamageAndSeesOneMoment(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		for n := range 3 {
			keepAll(t, store, sampleTake(n, 100))
		}
		change(t, store, "recording.sha256", sampleTake(1, 0).ID, func([]byte) any { return make([]byte, 32) })
		takes, damaged := 0, 0
		for one, err := range store.Everything(t.Context()) {
			switch {
			case errors.Is(err, records.ErrDamaged) && strings.Contains(err.Error(), sampleTake(1, 0).ID):
				damaged++
			case err != nil:
				t.Fatal(err)
			case one.Take != nil:
				takes++
				keepAll(t, store, sampleTake(50+takes, 10))
			}
		}
		if takes != 2 || damaged != 1 {
			t.Errorf("%d takes and %d damaged ones, want 2 and 1", takes, damaged)
		}
		if n, err := store.Count(t.Context(), records.Query{}, 0); n.Takes != 5 || err != nil {
			t.Errorf("%+v %v", n, err)
		}
		for range store.Everything(t.Context()) {
			break // the connection goes back
		}
		ended, cancel := context.WithCancel(t.Context())
		cancel()
		for _, err := range store.Everything(ended) {
			if !errors.Is(err, context.Canceled) {
				t.Errorf("a walk that was ended: %v", err)
			}
		}
	})
}

// What is there already is refused, with all that came with it; a counter never goes
// back.
func TestImportIsAllOrNothing(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store, other := p.open(t), newStore(t)
		keepSome(t, other)
		all := everything(t, other)
		for i, one := range all {
			if one.Counter != nil {
				continue
			}
			place := newPlaceLike(t, p)
			target := place.open(t)
			if err := target.Import(t.Context(), one); err != nil {
				t.Fatal(err)
			}
			before := len(everything(t, target))
			if err := target.Import(t.Context(), all...); !errors.Is(err, records.ErrExists) {
				t.Errorf("thing %d twice: %v", i, err)
			}
			if after := len(everything(t, target)); after != before {
				t.Errorf("thing %d: %d things became %d", i, before, after)
			}
		}
		for _, next := range []int{9, 4} {
			if err := store.Import(t.Context(), records.Whole{Counter: &records.Counter{Name: "serial", Next: next}}); err != nil {
				t.Fatal(err)
			}
		}
		if n, err := store.Allot(t.Context(), "serial", 1); n != 9 || err != nil {
			t.Errorf("the counter goes on with %d (%v)", n, err)
		}
	})
}

// newPlaceLike is a new place on the same engine.
func newPlaceLike(t *testing.T, p place) place {
	if _, file := p.engine.(lite); file {
		return newFile(t)
	}
	return newSchema(t, sharedAddress(t))
}

// Of several takes all are kept or none, with their units and their history.
func TestSeveralTakesAreKeptTogether(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		kept := func(takes ...int) []records.Kept {
			var all []records.Kept
			for _, n := range takes {
				all = append(all, records.Kept{Take: sampleTake(n, 50), Summary: sampleSummary()})
			}
			return all
		}
		if err := store.Keep(t.Context(), kept(1, 2, 3)...); err != nil {
			t.Fatal(err)
		}
		for _, bad := range [][]records.Kept{kept(4, 5, 3), kept(6, 7, 6)} {
			if err := store.Keep(t.Context(), bad...); !errors.Is(err, records.ErrExists) {
				t.Errorf("got %v", err)
			}
		}
		if err := store.Delete(t.Context(), sampleTake(1, 0).ID); err != nil {
			t.Fatal(err)
		}
		if err := store.Keep(t.Context(), kept(8, 1)...); !errors.Is(err, records.ErrExists) {
			t.Errorf("the ID of a deleted take: %v", err)
		}
		for _, do := range []func(context.Context, ...string) error{store.Delete, store.Restore} {
			if err := do(t.Context(), sampleTake(1, 0).ID, sampleTake(2, 0).ID); !errors.Is(err, records.ErrNoTake) {
				t.Errorf("one is deleted, the other is not: %v", err)
			}
		}
		if n, err := store.Count(t.Context(), records.Query{}, 0); n != (records.Counted{Takes: 2, Units: 2}) || err != nil {
			t.Errorf("%+v %v", n, err)
		}
		if units, err := store.Units(t.Context(), records.UnitQuery{}); len(units) != 3 || err != nil {
			t.Errorf("%d units: a refused take leaves its unit (%v)", len(units), err)
		}
		if events, err := store.History(t.Context(), records.AboutTake(sampleTake(4, 0).ID)); len(events) != 0 || err != nil {
			t.Errorf("a refused take has a history: %+v %v", events, err)
		}
	})
}

// What is shed keeps the impulse responses and loses only the recording.
func TestShed(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		keepAll(t, store, sampleTake(1, 500), sampleTake(2, 500))
		whole := sampleTake(1, 500)
		if err := store.Shed(t.Context(), whole); err == nil {
			t.Error("a recording is replaced by another")
		}
		whole.Capture.Channels = nil
		if err := store.Shed(t.Context(), whole); err == nil {
			t.Error("a recording is replaced by nothing")
		}
		if err := store.Shed(t.Context(), shed(sampleTake(3, 0))); !errors.Is(err, records.ErrNoTake) {
			t.Errorf("a take that is not there: %v", err)
		}
		began := now()
		want := shed(sampleTake(1, 0))
		if err := store.Shed(records.By(t.Context(), "Jo Ferrer"), want); err != nil {
			t.Fatal(err)
		}
		if err := store.Shed(t.Context(), want); !errors.Is(err, records.ErrNoTake) {
			t.Errorf("shedding twice: %v", err)
		}
		got, err := store.Take(t.Context(), want.ID)
		if diff := cmp.Diff(want, got); diff != "" || err != nil {
			t.Error(diff, err)
		}
		rows, err := store.List(t.Context(), records.Query{})
		if err != nil || len(rows) != 2 || rows[1].Raw() || !rows[0].Raw() {
			t.Errorf("%+v %v", rows, err)
		}
		events, err := store.History(t.Context(), records.AboutTake(want.ID))
		if err != nil || len(events) != 2 || events[1].What != records.WasShed || events[1].Who != "Jo Ferrer" ||
			events[1].At.Before(began) || events[1].At.After(now()) {
			t.Errorf("%+v %v", events, err)
		}
	})
}

// A backup is made while others keep, opens as records, and replaces nothing.
func TestBackup(t *testing.T) {
	store := newStore(t)
	keepSome(t, store)
	path := t.TempDir() + "/copies/monday.db"
	keeper := startKeeper(t, store.place, 100, 1<<20)
	if !keeper.lines.Scan() {
		t.Fatal(keeper.errs)
	}
	if err := store.Backup(t.Context(), path); err != nil {
		t.Fatal(err)
	}
	keeper.cmd.Process.Kill()
	copied := everything(t, openStore(t, path))
	if len(copied) < 9 {
		t.Errorf("%d things are in the copy", len(copied))
	}
	if err := store.Backup(t.Context(), path); err == nil || !strings.Contains(err.Error(), "name a new one") {
		t.Errorf("a second backup to the same file: %v", err)
	}
	if n := len(everything(t, openStore(t, path))); n != len(copied) {
		t.Errorf("the first backup has changed: %d things, then %d", len(copied), n)
	}
	err := newSchema(t, sharedAddress(t)).open(t).Backup(t.Context(), t.TempDir()+"/x.db")
	if err == nil || !strings.Contains(err.Error(), "records copy") {
		t.Errorf("backing up a server: %v", err)
	}
}

// Each filter of a list alone, and two together.
func TestFilters(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		for n := range 4 {
			one := sampleTake(n, 1)
			one.Subject.Model, one.Rig.Name = fmt.Sprint("model ", n%2), fmt.Sprint("rig ", n/2)
			if n > 1 {
				one.Series.ID = "series-1"
			}
			keepAll(t, store, one)
		}
		u, err := store.Unit(t.Context(), records.UnitID{Model: "model 1", Serial: "H6-0003"})
		if err != nil {
			t.Fatal(err)
		}
		u.Status = records.Passed
		if _, err := store.KeepUnit(t.Context(), u); err != nil {
			t.Fatal(err)
		}
		second := sampleTake(1, 0).At
		for _, test := range []struct {
			q    records.Query
			want string
		}{
			{records.Query{Model: "model 1"}, "3 1"},
			{records.Query{Rig: "rig 0"}, "1 0"},
			{records.Query{Series: "series-1"}, "3 2"},
			{records.Query{Unit: records.UnitID{Model: "model 0", Serial: "H6-0002"}}, "2"},
			{records.Query{Unit: records.UnitID{Model: "model 1", Serial: "H6-0002"}}, ""},
			{records.Query{Status: records.Passed}, "3"},
			{records.Query{Status: records.Prototype, Model: "model 1"}, "1"},
			{records.Query{Since: second.Truncate(time.Microsecond)}, "3 2 1"},
			{records.Query{Until: second.Truncate(time.Microsecond)}, "0"},
			{records.Query{Sort: records.ByModel}, "0 2 1 3"},
			{records.Query{Sort: records.ByModel, Backwards: true}, "3 1 2 0"},
			{records.Query{Sort: records.ByTime, Backwards: true, Limit: 3}, "0 1 2"},
		} {
			rows, err := store.List(t.Context(), test.q)
			var got []string
			for _, row := range rows {
				got = append(got, row.ID[len(row.ID)-1:])
			}
			if strings.Join(got, " ") != test.want || err != nil {
				t.Errorf("%+v: %q, want %q (%v)", test.q, got, test.want, err)
			}
		}
	})
}
