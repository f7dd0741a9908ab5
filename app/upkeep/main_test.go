package upkeep

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"stillroom/app/audio/simulated"
	"stillroom/app/desk"
	"stillroom/app/model"
	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/rig"
	"stillroom/app/take"
)

// measured is a short take on the simulated rig, recorded once for all tests.
var measured = sync.OnceValues(func() (*take.Take, error) {
	sim, err := simulated.New(simulated.Options{Subject: "two-way", Serial: "H6-0001"})
	if err != nil {
		return nil, err
	}
	r := rig.Rig{Name: "bench", Kind: "simulated", OutputDevice: simulated.DeviceID, InputDevice: simulated.DeviceID,
		RateHz: 48000, LevelDBFS: -20, LimitDBFS: -6, DistanceM: 0.5}
	p := take.DefaultProgramme(r)
	p.DurationS = 0.5
	return take.Record(context.Background(), sim, r, p, take.Subject{}, nil)
})

func id(n int) string { return fmt.Sprintf("take-%04d", n) }

// sample is the n-th take of an invented unit, with the summary of its analysis.
func sample(t *testing.T, n int) records.Kept {
	t.Helper()
	first, err := measured()
	if err != nil {
		t.Fatal(err)
	}
	one := *first
	one.ID, one.Person, one.Version = id(n), "Mara Lind", "0.1.0"
	one.At = time.Date(2026, 3, 1+n, 9, 15, 0, 123456789, time.UTC)
	one.Subject = take.Subject{Model: "Heron 6", Serial: fmt.Sprintf("H6-%04d", n), Batch: "26-03"}
	s, err := recompute(&one, desk.Summary)
	if err != nil {
		t.Fatal(err)
	}
	return records.Kept{Take: &one, Summary: s}
}

func open(t *testing.T, url string) records.Store {
	t.Helper()
	store, err := database.Open(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	return store
}

func file(t *testing.T, name string) records.Store {
	return open(t, filepath.Join(t.TempDir(), name))
}

// check fails at the first error.
func check(t *testing.T, errs ...error) {
	t.Helper()
	for _, err := range errs {
		if err != nil {
			t.Fatal(err)
		}
	}
}

// full is records with all kinds of things: takes, a deleted one, tags, notes, a unit
// changed twice, documents with versions, a deleted document, a counter, a shed take.
func full(t *testing.T) records.Store {
	t.Helper()
	store := file(t, "full.db")
	ctx := records.By(t.Context(), "Jo Fenn")
	for n := range 5 {
		check(t, store.Keep(ctx, sample(t, n)))
	}
	check(t, store.Delete(ctx, id(4)), store.Tag(ctx, []string{id(1), id(2)}, []string{"odd", ReferenceTag}, nil),
		store.AddNote(ctx, records.AboutTake(id(1)), "rattles at 80 Hz\nsecond line"),
		store.AddNote(ctx, records.AboutUnit(records.UnitID{Model: "Heron 6", Serial: "H6-0001"}), "dust cap loose"))
	u, err := store.Unit(ctx, records.UnitID{Model: "Heron 6", Serial: "H6-0001"})
	check(t, err)
	for _, status := range []records.Status{records.Failed, records.Rework} {
		u.Status = status
		u, err = store.KeepUnit(ctx, u)
		check(t, err)
	}
	for _, limit := range []float64{30, 35} {
		check(t, records.Models(store).Put(ctx, model.Model{Name: "Heron 6", LowestHz: limit}))
	}
	check(t, records.Rigs(store).Put(ctx, rig.Rig{Name: "old"}), records.Rigs(store).Delete(ctx, "old"))
	_, err = store.Allot(ctx, "serials", 417)
	check(t, err)
	one, err := store.Take(ctx, id(3))
	check(t, err)
	less, err := take.Shed(one, time.Date(2026, 4, 1, 0, 0, 0, 0, time.UTC))
	check(t, err, store.Shed(ctx, less))
	return store
}

// fingerprint is a digest of all that a store has, thing by thing.
func fingerprint(t *testing.T, store records.Store) map[string]string {
	t.Helper()
	prints := map[string]string{}
	for w, err := range store.Everything(t.Context()) {
		check(t, err)
		hash := sha256.New()
		print := func(values ...any) { fmt.Fprintf(hash, "%#v\n", values) }
		name := fmt.Sprint(w.Subject())
		switch {
		case w.Take != nil:
			text, err := json.Marshal(w.Take.Take)
			check(t, err)
			print(string(text), fmt.Sprintf("%x %v %q %q", w.Take.Summary.Curve, w.Take.Summary.MeanDB, w.Take.Summary.Worst, w.Take.Summary.Place),
				w.Take.Tags, w.Take.DeletedAt.UnixMicro())
		case w.Unit != nil:
			u := *w.Unit
			at := u.At.UnixMicro()
			u.At = time.Time{}
			print(u, at)
		case w.Document != nil:
			print(string(w.Document.Body), w.Document.Version, w.Document.Who, w.Document.At.UnixMicro(), w.Document.DeletedAt.UnixMicro())
		case w.Counter != nil:
			name = "counter " + w.Counter.Name
			print(*w.Counter)
		}
		for _, n := range w.Notes {
			print(n.At.UnixMicro(), n.Who, n.Text)
		}
		for _, e := range w.Events {
			print(e.At.UnixMicro(), e.Who, e.What, e.Detail, string(e.Body))
		}
		prints[name] = hex.EncodeToString(hash.Sum(nil))
	}
	return prints
}

func sameRecords(t *testing.T, got, want records.Store) {
	t.Helper()
	a, b := fingerprint(t, got), fingerprint(t, want)
	for name, print := range b {
		if a[name] != print {
			t.Errorf("%s differs (%.8s, %.8s)", name, a[name], print)
		}
	}
	if len(a) != len(b) {
		t.Errorf("%d things, want %d", len(a), len(b))
	}
}
