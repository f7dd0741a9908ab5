package database

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stillroom/app/records"
)

// A file of each released schema is kept, and must open in every later version.
// It is written once, with -write-golden, and never again.
func TestFilesOfEarlierSchemasOpen(t *testing.T) {
	golden := filepath.Join("testdata", "schema1.db")
	if *writeGolden {
		writeSchema1(t, golden)
	}
	text, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "records.db")
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	store := openStore(t, path)
	want := sampleTake(1, 400)
	got, err := store.Take(t.Context(), want.ID)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("the take has changed (-kept +read):\n%s", diff)
	}
	if rows, err := store.List(t.Context(), records.Query{}); err != nil || len(rows) != 1 || rows[0].Worst != sampleSummary().Worst {
		t.Errorf("%+v %v", rows, err)
	}
	if r, err := records.Rigs(store).Get(t.Context(), "bench"); err != nil || !cmp.Equal(r.Value, sampleRig("bench")) {
		t.Errorf("%+v %v", r, err)
	}
	if events, err := store.History(t.Context(), records.AboutTake(sampleTake(2, 0).ID)); err != nil || len(events) != 2 {
		t.Errorf("%+v %v", events, err)
	}
}

var writeGolden = flag.Bool("write-golden", false, "write the file of the present schema anew")

// writeSchema1 keeps two takes, one of them deleted, and a rig.
func writeSchema1(t *testing.T, path string) {
	t.Helper()
	if err := os.Remove(path); err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	store := openStore(t, path)
	keepAll(t, store, sampleTake(1, 400), sampleTake(2, 400))
	ctx := records.By(t.Context(), "Jo Ferrer")
	if err := store.Delete(ctx, sampleTake(2, 0).ID); err != nil {
		t.Fatal(err)
	}
	if err := records.Rigs(store).Put(ctx, sampleRig("bench")); err != nil {
		t.Fatal(err)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
}
