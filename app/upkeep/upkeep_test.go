package upkeep

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"stillroom/app/desk"
	"stillroom/app/model"
	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/take"
	"stillroom/test/servers"
)

func verify(t *testing.T, store records.Store, sample int) Verified {
	t.Helper()
	v, err := Verify(t.Context(), store, Verification{Sample: sample, Seed: 7, Summarise: desk.Summary}, nil)
	check(t, err)
	return v
}

func TestVerifyFindsNothingWrongInWhatIsRight(t *testing.T) {
	v := verify(t, full(t), -1)
	if !v.Sound() || v.Takes != 5 || v.Recomputed != 5 || v.Units != 5 || v.Documents != 2 {
		t.Errorf("%+v", v)
	}
}

// A byte of a recording, a byte of a description, and a result that its recording does
// not give: each is found, and named.
func TestVerifyFindsDamage(t *testing.T) {
	path := filepath.Join(t.TempDir(), "records.db")
	store := open(t, path)
	for n := range 6 {
		check(t, store.Keep(t.Context(), sample(t, n)))
	}
	db, err := sql.Open("sqlite3", path)
	check(t, err)
	defer db.Close()
	for _, change := range []string{
		"UPDATE recording SET packed = CAST(substr(packed, 1, 5000) || x'55' || substr(packed, 5002) AS BLOB) WHERE take_id = 'take-0001'",
		"UPDATE take_document SET body = CAST(substr(body, 1, 300) || x'21' || substr(body, 302) AS BLOB) WHERE take_id = 'take-0002'",
		"UPDATE take SET mean_db = mean_db + 0.05 WHERE id = 'take-0003'",
		"UPDATE take SET worst = 'remark' WHERE id = 'take-0004'",
	} {
		_, err := db.Exec(change)
		check(t, err)
	}
	v := verify(t, store, -1)
	if v.Sound() || len(v.Damaged) != 2 || len(v.Differing) != 2 || v.Takes != 4 {
		t.Fatalf("%+v", v)
	}
	all := strings.Join(append(v.Damaged, v.Differing...), "\n")
	for n, words := range map[int]string{1: "damaged", 2: "damaged", 3: "mean level", 4: "worst finding"} {
		if !strings.Contains(all, id(n)) || !strings.Contains(all, words) {
			t.Errorf("take %d is not named with %q:\n%s", n, words, all)
		}
	}
	if v = verify(t, store, 0); len(v.Damaged) != 2 || v.Recomputed != 0 || len(v.Differing) != 0 {
		t.Errorf("without a sample: %+v", v)
	}
}

// The sample is as large as asked for, and the same for the same seed. With n of N
// takes chosen each by chance its size has a standard deviation of √(n(1−n/N)).
func TestSampleIsFairAndRepeatable(t *testing.T) {
	const all, want = 20000, 400
	for seed := range uint64(5) {
		chosen := func(seed uint64) (ids []int) {
			for n := range all {
				if (Verification{Sample: want, Seed: seed}).chooses(records.NewID(time.UnixMicro(int64(n)))[:11], all) {
					ids = append(ids, n)
				}
			}
			return ids
		}
		a, b := chosen(seed), chosen(seed)
		if !slices.Equal(a, b) || slices.Equal(a, chosen(seed+100)) {
			t.Error("the seed does not decide")
		}
		if off := len(a) - want; off < -4*20 || off > 4*20 {
			t.Errorf("seed %d: %d of %d chosen, want %d", seed, len(a), all, want)
		}
	}
}

func TestCopyGoesThroughAServerAndBack(t *testing.T) {
	server, err := servers.Start(t.Context())
	check(t, err)
	t.Cleanup(func() { server.Close() })
	from := full(t)
	on := open(t, server.URL("postgres", servers.Owner, server.Password, ""))
	back := file(t, "back.db")
	var last, most int
	copied, err := Copy(t.Context(), from, on, false, func(done, all int) { last, most = done, all })
	check(t, err)
	if !copied.Whole() || copied.Takes != 5 || copied.Counters != 1 || last != 5 || most != 5 {
		t.Errorf("%+v, %d of %d", copied, last, most)
	}
	sameRecords(t, on, from)
	_, err = Copy(t.Context(), on, back, false, nil)
	check(t, err)
	sameRecords(t, back, from)
	if next, err := back.Allot(t.Context(), "serials", 1); err != nil || next != 418 {
		t.Errorf("the counter goes on at %d (%v)", next, err)
	}

	path := filepath.Join(t.TempDir(), "sub", "backup.db")
	check(t, Backup(t.Context(), on, path, database.Open, nil))
	sameRecords(t, open(t, path), from)
	if err := Backup(t.Context(), on, path, database.Open, nil); err == nil || !strings.Contains(err.Error(), "already") {
		t.Errorf("a backup was written over: %v", err)
	}
	if left, _ := os.ReadDir(filepath.Dir(path)); slices.ContainsFunc(left, func(e os.DirEntry) bool { return strings.HasPrefix(e.Name(), ".") }) {
		t.Errorf("left behind: %v", left)
	}
}

func TestBackupOfAFile(t *testing.T) {
	from, path := full(t), filepath.Join(t.TempDir(), "backup.db")
	check(t, Backup(t.Context(), from, path, database.Open, nil))
	sameRecords(t, open(t, path), from)
}

func TestCopyRefusesWhatIsInUse(t *testing.T) {
	from, to := full(t), file(t, "to.db")
	_, err := to.Allot(t.Context(), "serials", 1)
	check(t, err)
	if _, err := Copy(t.Context(), from, to, false, nil); !errors.Is(err, ErrNotEmpty) || strings.Contains(err.Error(), "\n") {
		t.Errorf("%v", err)
	}
}

// breaking is a store that goes away in the middle of a copy.
type breaking struct {
	records.Store
	after int
}

func (b *breaking) Import(ctx context.Context, things ...records.Whole) error {
	if b.after--; b.after < 0 {
		return records.ErrAway
	}
	return b.Store.Import(ctx, things[:len(things)/2]...)
}

func TestABrokenCopyGoesOn(t *testing.T) {
	from, to := full(t), file(t, "to.db")
	if _, err := Copy(t.Context(), from, &breaking{to, 0}, false, nil); !errors.Is(err, records.ErrAway) {
		t.Fatal(err)
	}
	// half of the things arrived
	var half []records.Whole
	for w, err := range from.Everything(t.Context()) {
		check(t, err)
		half = append(half, w)
	}
	check(t, to.Import(t.Context(), half[:len(half)/2]...))
	copied, err := Copy(t.Context(), from, to, true, nil)
	check(t, err)
	if !copied.Whole() || copied.There == 0 {
		t.Errorf("%+v", copied)
	}
	sameRecords(t, to, from)
	again, err := Copy(t.Context(), from, to, true, nil)
	check(t, err)
	if again.Takes+again.Units+again.Documents != 0 || !again.Whole() {
		t.Errorf("%+v", again)
	}
}

func TestCopyLeavesWhatOthersChanged(t *testing.T) {
	from, to := full(t), file(t, "to.db")
	_, err := Copy(t.Context(), from, to, false, nil)
	check(t, err)
	check(t, records.Models(to).Put(t.Context(), model.Model{Name: "Heron 6", LowestHz: 99}))
	copied, err := Copy(t.Context(), from, to, true, nil)
	check(t, err)
	if len(copied.Left) != 1 || !strings.Contains(copied.Left[0], "Heron 6") {
		t.Errorf("%+v", copied)
	}
	if m, err := records.Models(to).Get(t.Context(), "Heron 6"); err != nil || m.Value.LowestHz != 99 {
		t.Errorf("%+v, %v", m, err)
	}
}

func TestRetention(t *testing.T) {
	store := file(t, "records.db")
	ctx := t.Context()
	for n := range 7 {
		k := sample(t, n)
		if n == 1 {
			k.Summary.Worst, k.Take.Override = take.Void, "only its arrival is wanted"
		}
		check(t, store.Keep(ctx, k))
	}
	other := sample(t, 20)
	other.Take.Subject.Model = "Wren tweeter"
	silent := sample(t, 21)
	silent.Take.Capture.Channels = [][]float32{make([]float32, 48000)}
	check(t, store.Keep(ctx, other), store.Keep(ctx, silent))
	check(t, store.Tag(ctx, []string{id(2)}, []string{ReferenceTag}, nil))
	_, err := store.KeepDocument(ctx, records.Document{Kind: records.ReferenceKind, Name: "Heron 6",
		Body: []byte(`{"Model":"Heron 6","Revisions":[{"Takes":["` + id(3) + `"]}]}`)})
	check(t, err)
	u, err := store.Unit(ctx, records.UnitID{Model: "Heron 6", Serial: "H6-0004"})
	check(t, err)
	u.Status = records.Failed
	_, err = store.KeepUnit(ctx, u)
	check(t, err)
	now := time.Date(2026, 3, 22, 12, 0, 0, 0, time.UTC)

	plan := func(keep model.Retention) (Plan, []string) {
		t.Helper()
		check(t, records.Models(store).Put(ctx, model.Model{Name: "Heron 6", KeepRaw: keep}))
		p, err := MakePlan(ctx, store, now)
		check(t, err)
		var ids []string
		for _, m := range p.Models {
			for _, r := range m.Sheds {
				ids = append(ids, r.TakeID)
			}
		}
		slices.Sort(ids)
		return p, ids
	}
	for name, x := range map[string]struct {
		keep model.Retention
		want []string
	}{
		"nothing said": {model.Retention{}, nil},
		"all":          {model.Retention{Rule: "all"}, nil},
		"none":         {model.Retention{Rule: "chosen"}, []string{id(0), id(1), id(2), id(3), id(4), id(5), id(6), id(21)}},
		"failures":     {model.Retention{Rule: "chosen", Failures: true}, []string{id(0), id(2), id(3), id(5), id(6), id(21)}},
		"references":   {model.Retention{Rule: "chosen", References: true}, []string{id(0), id(1), id(4), id(5), id(6), id(21)}},
		"sixteen days": {model.Retention{Rule: "chosen", Days: 16}, []string{id(0), id(1), id(2), id(3), id(4), id(5)}},
	} {
		if _, ids := plan(x.keep); !slices.Equal(ids, x.want) {
			t.Errorf("%s: %v, want %v", name, ids, x.want)
		}
	}
	p, _ := plan(model.Retention{Rule: "chosen", Failures: true, References: true})
	before, err := store.List(ctx, records.Query{})
	check(t, err)
	if !slices.ContainsFunc(before, func(r records.Row) bool { return r.ID == id(0) && r.Raw() }) || p.Takes() != 4 || p.Bytes() == 0 {
		t.Fatalf("the plan changed something, or plans another thing: %+v", p)
	}
	freed, err := Run(ctx, store, p, now, nil)
	check(t, err)
	if freed.Takes != 3 || len(freed.Left) != 1 || !strings.Contains(freed.Left[0], id(21)) || freed.Bytes >= p.Bytes() {
		t.Errorf("%+v of %d bytes", freed, p.Bytes())
	}
	for _, n := range []int{0, 5, 6} {
		one, err := store.Take(ctx, id(n))
		check(t, err)
		if one.Impulses == nil || len(one.Capture.Channels) != 0 {
			t.Errorf("take %d: %+v", n, one.Impulses)
		}
	}
	one, err := store.Take(ctx, id(20))
	check(t, err)
	if one.Impulses != nil {
		t.Error("a take of another model lost its recording")
	}
	if v := verify(t, store, -1); len(v.Damaged) != 0 || len(v.Differing) != 1 { // 21 was made silent by hand
		t.Errorf("%+v", v)
	}
	raw, err := json.Marshal(mustTake(t, store, id(0)).Impulses)
	check(t, err)
	t.Logf("a recording of %d bytes is now %d bytes of JSON", len(mustTake(t, store, id(1)).Capture.Channels[0])*4, len(raw))
	if p, _ = plan(model.Retention{Rule: "chosen", Failures: true, References: true}); p.Takes() != 1 {
		t.Errorf("what went is planned again: %+v", p)
	}
}

func mustTake(t *testing.T, store records.Store, id string) *take.Take {
	t.Helper()
	one, err := store.Take(t.Context(), id)
	check(t, err)
	return one
}
