package database

import (
	"flag"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"stillroom/app/records"
)

// A file of each released schema is kept, and must open in every later version.
// It is written once, with -write-golden, and never again.
func TestFileOfSchema1Opens(t *testing.T) {
	store := openStore(t, golden(t, "schema1.db"))
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

// golden is a copy of a kept file.
func golden(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

var writeGolden = flag.Bool("write-golden", false, "write the file of the present schema anew")

// What a file of schema 2 holds is what keepSome keeps now, but for the times: in a
// file that is written now, and in the one that is kept since schema 2 was released.
func TestFilesOfSchema2Open(t *testing.T) {
	if *writeGolden {
		writeSchema2(t, filepath.Join("testdata", "schema2.db"))
	}
	written := filepath.Join(t.TempDir(), "written.db")
	writeSchema2(t, written)
	checkSchema2(t, written)
	kept, err := filepath.Glob(filepath.Join("testdata", "schema2.db"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range kept {
		checkSchema2(t, golden(t, filepath.Base(path)))
	}
}

func checkSchema2(t *testing.T, path string) {
	t.Helper()
	store, fresh := openStore(t, path), newStore(t)
	keepSome(t, fresh)
	want, got := everything(t, fresh), everything(t, store)
	if diff := cmp.Diff(want, got, cmpopts.EquateNaNs(), cmpopts.IgnoreTypes(time.Time{})); diff != "" {
		t.Errorf("what is kept has changed (-now +kept):\n%s", diff)
	}
	for i := range min(len(want), len(got)) {
		if want[i].Take != nil && !sameBits(want[i].Take.Take.Capture.Channels, got[i].Take.Take.Capture.Channels) {
			t.Errorf("take %s has another recording", want[i].Take.Take.ID)
		}
	}
	for _, q := range []records.Query{{}, {Search: "golden 漢字"}, {Search: "häng"}, {Deleted: true}, {Status: records.Failed}} {
		now, err1 := fresh.List(t.Context(), q)
		kept, err2 := store.List(t.Context(), q)
		if diff := cmp.Diff(now, kept, cmpopts.EquateNaNs()); diff != "" || err1 != nil || err2 != nil || len(now) == 0 {
			t.Errorf("%+v finds %d (%v, %v):\n%s", q, len(now), err1, err2, diff)
		}
	}
	keepAll(t, store, sampleTake(9, 100))
}

// writeSchema2 keeps some of everything.
func writeSchema2(t *testing.T, path string) {
	t.Helper()
	if err := os.Remove(path); err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	store := openStore(t, path)
	keepSome(t, store)
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
}
