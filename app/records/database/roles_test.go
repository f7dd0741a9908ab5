package database

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"stillroom/app/records"
	"stillroom/app/take"
	"stillroom/test/servers"
)

// people makes records with the roles and a login for each, and opens them as these.
func people(t *testing.T) (owner *database, as func(role string) *database) {
	t.Helper()
	s := private(t)
	p := newSchema(t, s.URL("postgres", servers.Owner, s.Password, ""))
	owner = p.open(t)
	for range 2 { // it can be run again
		if _, err := owner.db.Exec(Roles()); err != nil {
			t.Fatal(err)
		}
	}
	return owner, func(role string) *database {
		login := "person_" + role
		if _, err := owner.db.Exec("CREATE ROLE " + login + " LOGIN PASSWORD 'quite secret' IN ROLE stillroom_" + role); err != nil {
			t.Fatal(err)
		}
		schema := strings.Split(p.url, "search_path=")[1]
		url := s.URL("postgres", login, "quite secret", "search_path="+schema)
		return place{server{}, url}.open(t) // a login that may not migrate opens what is up to date
	}
}

// What each role may do, tried with real logins.
func TestRoles(t *testing.T) {
	t.Parallel()
	owner, as := people(t)
	keepAll(t, owner, sampleTake(1, 10), sampleTake(2, 10))
	for kind, name := range map[records.Kind]string{records.RigKind: "bench", records.ModelKind: "Heron 6", records.ReferenceKind: "Heron 6"} {
		keepDocument(t, owner, records.Document{Kind: kind, Name: name, Body: []byte("{}")})
	}
	ctx := t.Context()
	old := records.AboutTake(sampleTake(1, 0).ID)
	n := 10
	write := func(kind records.Kind) func(*database) error {
		return func(d *database) error {
			n++
			_, err := d.KeepDocument(ctx, records.Document{Kind: kind, Name: fmt.Sprint("new ", n), Body: []byte("{}")})
			return err
		}
	}
	change := func(kind records.Kind, name string) func(*database) error {
		return func(d *database) error {
			one, err := d.Document(ctx, kind, name)
			if err == nil {
				_, err = d.KeepDocument(ctx, one)
			}
			return err
		}
	}
	logins := map[string]*database{"viewer": as("viewer"), "operator": as("operator"), "developer": as("developer")}
	for _, test := range []struct {
		what    string
		allowed string
		do      func(*database) error
	}{
		{"read", "viewer operator developer", func(d *database) error { _, err := d.Take(ctx, old.ID); return err }},
		{"list", "viewer operator developer", func(d *database) error { _, err := d.List(ctx, records.Query{Search: "heron"}); return err }},
		{"watch", "viewer operator developer", func(d *database) error {
			ctx, cancel := context.WithCancel(ctx)
			defer cancel()
			_, err := d.Watch(ctx)
			return err
		}},
		{"keep a take", "operator developer", func(d *database) error {
			n++
			return d.Keep(ctx, records.Kept{Take: sampleTake(n, 10), Summary: sampleSummary()})
		}},
		{"note", "operator developer", func(d *database) error { return d.AddNote(ctx, old, "dome lot 118") }},
		{"tag", "operator developer", func(d *database) error { return d.Tag(ctx, []string{old.ID}, []string{"golden"}, nil) }},
		{"untag", "operator developer", func(d *database) error { return d.Tag(ctx, []string{old.ID}, nil, []string{"golden"}) }},
		{"allot", "operator developer", func(d *database) error { _, err := d.Allot(ctx, "serial", 1); return err }},
		{"change a unit", "operator developer", func(d *database) error {
			u, err := d.Unit(ctx, records.UnitID{Model: "Heron 6", Serial: "H6-0001"})
			if err == nil {
				u.Status = records.Failed
				_, err = d.KeepUnit(ctx, u)
			}
			return err
		}},
		{"change a rig", "operator developer", change(records.RigKind, "bench")},
		{"add a board", "operator developer", write(records.BoardKind)},
		{"change a model", "developer", change(records.ModelKind, "Heron 6")},
		{"add a model", "developer", write(records.ModelKind)},
		{"change a reference", "developer", change(records.ReferenceKind, "Heron 6")},
		{"add a reference", "developer", write(records.ReferenceKind)},
		{"delete a take", "developer", func(d *database) error { return d.Delete(ctx, old.ID) }},
		{"restore a take", "developer", func(d *database) error { return d.Restore(ctx, old.ID) }},
		{"delete a rig", "developer", func(d *database) error { return d.DeleteDocument(ctx, records.RigKind, "bench") }},
		{"shed", "developer", func(d *database) error { return d.Shed(ctx, shed(sampleTake(2, 10))) }},
		{"change the history", "", func(d *database) error {
			_, err := d.read().exec(ctx, "UPDATE event SET who = 'x'")
			return d.wrap(err)
		}},
		{"remove a take", "", func(d *database) error { _, err := d.read().exec(ctx, "DELETE FROM take"); return d.wrap(err) }},
		{"change a recording", "", func(d *database) error {
			_, err := d.read().exec(ctx, "UPDATE recording SET packed = ''")
			return d.wrap(err)
		}},
		{"make a table", "", func(d *database) error { _, err := d.read().exec(ctx, "CREATE TABLE more (n int)"); return d.wrap(err) }},
	} {
		for _, role := range []string{"viewer", "operator", "developer"} {
			err := test.do(logins[role])
			may := strings.Contains(test.allowed, role)
			switch {
			case may && err != nil:
				t.Errorf("%s may not %s: %v", role, test.what, err)
			case !may && !errors.Is(err, records.ErrNotAllowed):
				t.Errorf("%s may %s: %v", role, test.what, err)
			case !may && errors.Is(err, records.ErrNotAllowed) && records.Unreachable(err):
				t.Errorf("%s: to wait does not help: %v", test.what, err)
			}
		}
	}
}

// wrap sorts an error as the methods do.
func (d *database) wrap(err error) error {
	if err == nil {
		return nil
	}
	return d.explain("trying", err)
}

// shed is a take with an impulse response in place of its recording.
func shed(t *take.Take) *take.Take {
	t.Capture.Channels = nil
	t.Impulses = &take.Impulses{Origin: take.WasShed, RateHz: 48000, Microphones: []take.ImpulseOf{{Samples: []float32{0, 1, -0.5}}}}
	return t
}

func keepDocument(t *testing.T, d *database, one records.Document) records.Document {
	t.Helper()
	kept, err := d.KeepDocument(t.Context(), one)
	if err != nil {
		t.Fatal(err)
	}
	return kept
}
