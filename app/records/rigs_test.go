package records

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stillroom/app/rig"
)

func TestRigsAreKeptByName(t *testing.T) {
	store := newStore(t)
	ctx := t.Context()
	if _, err := store.Rig(ctx, "bench"); !errors.Is(err, ErrNoRig) {
		t.Errorf("no rig: %v", err)
	}
	changed := sampleRig("bench")
	changed.LevelDBFS = -40
	for _, r := range []rig.Rig{sampleRig("room"), sampleRig("bench"), changed} {
		if err := store.KeepRig(ctx, r); err != nil {
			t.Fatal(err)
		}
	}
	rigs, err := store.Rigs(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]rig.Rig{changed, sampleRig("room")}, rigs); diff != "" {
		t.Error(diff)
	}
	if got, err := store.Rig(ctx, "bench"); err != nil || !cmp.Equal(got, changed) {
		t.Errorf("%+v %v", got, err)
	}
	if _, err := store.Rig(ctx, "Bench"); !errors.Is(err, ErrNoRig) || !strings.Contains(err.Error(), "bench, room") {
		t.Errorf("a wrong name does not tell the right ones: %v", err)
	}
	if err := store.DeleteRig(ctx, "bench"); err != nil {
		t.Fatal(err)
	}
	if err := store.DeleteRig(ctx, "bench"); !errors.Is(err, ErrNoRig) {
		t.Errorf("deleting twice: %v", err)
	}
	if err := store.KeepRig(ctx, rig.Rig{Name: " "}); err == nil {
		t.Error("a rig with no name is kept")
	}
}
