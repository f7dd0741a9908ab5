package database

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"stillroom/app/model"
	"stillroom/app/records"
	"stillroom/app/rig"
)

func TestDocumentsLiveByVersion(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		ctx := records.By(t.Context(), "Jo Ferrer")
		body := []byte(`{"note": "quoted ' and \" and ü", "n": 1e-3}`)
		one := keepAs(t, store, "Jo Ferrer", records.Document{Kind: records.BoardKind, Name: "spring / 'Ü'", Body: body})
		got, err := store.Document(ctx, one.Kind, one.Name)
		if diff := cmp.Diff(one, got); diff != "" || err != nil || one.Version != 1 || one.Who != "Jo Ferrer" {
			t.Error(diff, err)
		}
		if _, err := store.KeepDocument(ctx, records.Document{Kind: one.Kind, Name: one.Name, Body: body}); !errors.Is(err, records.ErrExists) {
			t.Errorf("the same name twice: %v", err)
		}
		other := one
		other.Body = []byte("[]")
		second := keepAs(t, store, "Mara Lind", other)
		if _, err := store.KeepDocument(ctx, one); !errors.Is(err, records.ErrChanged) || !strings.Contains(err.Error(), "Mara Lind") {
			t.Errorf("an older version: %v", err)
		}

		if err := store.DeleteDocument(ctx, one.Kind, one.Name); err != nil {
			t.Fatal(err)
		}
		if _, err := store.Document(ctx, one.Kind, one.Name); !errors.Is(err, records.ErrNoDocument) {
			t.Errorf("a deleted one is read: %v", err)
		}
		if _, err := store.KeepDocument(ctx, second); !errors.Is(err, records.ErrNoDocument) {
			t.Errorf("a deleted one is changed: %v", err)
		}
		if err := store.DeleteDocument(ctx, one.Kind, one.Name); !errors.Is(err, records.ErrNoDocument) {
			t.Errorf("deleting twice: %v", err)
		}
		if err := store.RestoreDocument(ctx, one.Kind, one.Name); err != nil {
			t.Fatal(err)
		}
		if err := store.RestoreDocument(ctx, one.Kind, one.Name); !errors.Is(err, records.ErrNoDocument) {
			t.Errorf("restoring twice: %v", err)
		}
		if got, err := store.Document(ctx, one.Kind, one.Name); err != nil || !cmp.Equal(got, second) {
			t.Errorf("%+v %v", got, err)
		}
		if err := store.DeleteDocument(ctx, one.Kind, one.Name); err != nil {
			t.Fatal(err)
		}
		again := keepAs(t, store, "Jo Ferrer", records.Document{Kind: one.Kind, Name: one.Name, Body: []byte("1")})
		if again.Version != 3 {
			t.Errorf("version %d follows a deleted 2", again.Version)
		}
		events, err := store.History(ctx, records.AboutDocument(one.Kind, one.Name))
		want := []records.Event{
			{Who: "Jo Ferrer", What: records.WasKept, Body: body}, {Who: "Mara Lind", What: records.WasChanged, Body: []byte("[]")},
			{Who: "Jo Ferrer", What: records.WasDeleted}, {Who: "Jo Ferrer", What: records.WasRestored},
			{Who: "Jo Ferrer", What: records.WasDeleted}, {Who: "Jo Ferrer", What: records.WasKept, Body: []byte("1")}}
		if diff := cmp.Diff(want, events, cmpopts.IgnoreFields(records.Event{}, "At")); diff != "" || err != nil {
			t.Error(diff, err)
		}
	})
}

func keepAs(t *testing.T, d *database, person string, one records.Document) records.Document {
	t.Helper()
	kept, err := d.KeepDocument(records.By(t.Context(), person), one)
	if err != nil {
		t.Fatal(err)
	}
	return kept
}

func TestDocumentsThatCannotBeKept(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		for _, bad := range []records.Document{
			{Kind: records.RigKind, Name: " ", Body: []byte("{}")}, {Kind: records.RigKind, Name: "x", Body: []byte("{")},
			{Kind: records.TakeKind, Name: "x", Body: []byte("{}")}, {Name: "x", Body: []byte("{}")},
			{Kind: records.RigKind, Name: "a\x00", Body: []byte("{}")}, {Kind: records.RigKind, Name: "x", Body: nil},
		} {
			if _, err := store.KeepDocument(t.Context(), bad); err == nil {
				t.Errorf("kept %+v", bad)
			}
		}
	})
}

func TestShelves(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		ctx, rigs := t.Context(), records.Rigs(store)
		if _, err := rigs.Get(ctx, "bench"); !errors.Is(err, records.ErrNoDocument) || !strings.Contains(err.Error(), "no rig is kept yet") {
			t.Errorf("no rig: %v", err)
		}
		changed := sampleRig("bench")
		changed.LevelDBFS = -40
		for _, r := range []rig.Rig{sampleRig("room"), sampleRig("Öde"), sampleRig("bench"), changed} {
			if err := rigs.Put(ctx, r); err != nil {
				t.Fatal(err)
			}
		}
		all, err := rigs.All(ctx)
		want := []records.Versioned[rig.Rig]{{Value: changed, Version: 2}, {Value: sampleRig("room"), Version: 1}, {Value: sampleRig("Öde"), Version: 1}}
		if diff := cmp.Diff(want, all); diff != "" || err != nil {
			t.Error(diff, err)
		}
		if _, err := rigs.Get(ctx, "Bench"); !errors.Is(err, records.ErrNoDocument) || !strings.Contains(err.Error(), "bench, room, Öde") {
			t.Errorf("a wrong name does not tell the right ones: %v", err)
		}
		mine, err := rigs.Keep(ctx, all[0])
		if err != nil || mine.Version != 3 {
			t.Errorf("%+v %v", mine, err)
		}
		if _, err := rigs.Keep(ctx, all[0]); !errors.Is(err, records.ErrChanged) {
			t.Errorf("an older version: %v", err)
		}
		if err := rigs.Delete(ctx, "bench"); err != nil {
			t.Fatal(err)
		}
		if err := rigs.Delete(ctx, "bench"); !errors.Is(err, records.ErrNoDocument) {
			t.Errorf("deleting twice: %v", err)
		}
		if err := rigs.Restore(ctx, "bench"); err != nil {
			t.Fatal(err)
		}
		if err := rigs.Put(ctx, rig.Rig{Name: " "}); err == nil {
			t.Error("a rig with no name is kept")
		}
		if err := records.Models(store).Put(ctx, model.Model{Name: "bench"}); err != nil {
			t.Errorf("a model of the name of a rig: %v", err)
		}
		keepDocument(t, store, records.Document{Kind: records.RigKind, Name: "later", Body: []byte(`{"Name": "later", "Polarisation": 48}`)})
		if _, err := rigs.Get(ctx, "later"); err == nil || !strings.Contains(err.Error(), "Polarisation") {
			t.Errorf("an unknown field is dropped: %v", err)
		}
	})
}
