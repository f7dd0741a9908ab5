package database

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/google/go-cmp/cmp"

	"stillroom/app/records"
	"stillroom/app/take"
)

// A search finds a take where each of its words begins a word of it.
func TestSearchFindsByTheBeginningsOfWords(t *testing.T) {
	both(t, func(t *testing.T, p place) { findsByBeginnings(t, p.open(t)) })
}

func findsByBeginnings(t *testing.T, store *database) {
	one := sampleTake(0, 1)
	one.At = time.Date(2026, 11, 24, 12, 0, 0, 0, time.UTC)
	one.Person = "Mara Lind"
	one.Subject = take.Subject{Model: "Heron 6 woofer", Serial: "H6W-0417", Batch: "2026-41", Note: "Straße, ΑΘΗΝΑΣ (door slammed) 1.5 mm, हिन्दी, café"}
	keepAll(t, store, one)
	if err := store.Tag(t.Context(), []string{one.ID}, []string{"to send"}, nil); err != nil {
		t.Fatal(err)
	}
	if err := store.AddNote(t.Context(), records.AboutTake(one.ID), "dome lot 118"); err != nil {
		t.Fatal(err)
	}
	for _, search := range []string{"heron", "HER", "h", "6", "woof heron", "417", "0417", "h6w-0417", "H6W-04", "h6w", "2026-41", "41",
		"2026", "2026-11", "2026-11-24", "24 nov", "november 2026", "mara lin", "strasse", "STRASSE", "Straße", "αθηνας", "αθηναΣ", "slammed",
		"(door", "door,", "1.5", "हिन्द", "cafe\u0301", "send", "to", "118 dome", "proto", "prototype heron", "", "  ", "heron heron", "–", "417 2026-41 nov mara"} {
		if n, err := store.Count(t.Context(), records.Query{Search: search}, 0); n.Takes != 1 || err != nil {
			t.Errorf("%q does not find it: %v %v", search, n, err)
		}
	}
	for _, search := range []string{"eron", "17", "passed", "pass", "heron 7", "2026-42", "2025", "25 nov", "model", "=model", "heronx", "h6w-0417x", "cab", "%", "_"} {
		wanted := 0
		if len(pieces(search)) == 0 { // it asks for no word
			wanted = 1
		}
		if n, err := store.Count(t.Context(), records.Query{Search: search}, 0); n.Takes != wanted || err != nil {
			t.Errorf("%q finds it: %v %v", search, n, err)
		}
	}
}

// The status is the unit's, also when it changes; deleted takes are found among the
// deleted only.
func TestSearchFollowsChanges(t *testing.T) {
	both(t, func(t *testing.T, p place) { followsChanges(t, p.open(t)) })
}

func followsChanges(t *testing.T, store *database) {
	one := sampleTake(1, 1)
	keepAll(t, store, one, sampleTake(2, 1))
	found := func(q records.Query) int {
		t.Helper()
		n, err := store.Count(t.Context(), q, 0)
		rows, listed := store.List(t.Context(), q)
		if err != nil || listed != nil || len(rows) != n.Takes {
			t.Errorf("%v: %d rows, %v, %v %v", q.Search, len(rows), n, err, listed)
		}
		return n.Takes
	}
	expect := func(doing string, q records.Query, want int) {
		t.Helper()
		if n := found(q); n != want {
			t.Errorf("%s: %q finds %d takes, want %d", doing, q.Search, n, want)
		}
	}
	expect("kept", records.Query{Search: "prototype heron"}, 2)
	unit, err := store.Unit(t.Context(), records.UnitID{Model: one.Subject.Model, Serial: one.Subject.Serial})
	if err != nil {
		t.Fatal(err)
	}
	unit.Status = records.Failed
	if _, err := store.KeepUnit(t.Context(), unit); err != nil {
		t.Fatal(err)
	}
	expect("failed", records.Query{Search: "fail"}, 1)
	expect("failed", records.Query{Search: "prototype"}, 1)
	expect("failed", records.Query{Status: records.Failed}, 1)
	if err := store.Tag(t.Context(), []string{one.ID}, []string{"claim"}, nil); err != nil {
		t.Fatal(err)
	}
	expect("tagged", records.Query{Search: "claim"}, 1)
	expect("tagged", records.Query{Tag: "claim", Search: "heron"}, 1)
	if err := store.Tag(t.Context(), []string{one.ID}, nil, []string{"claim"}); err != nil {
		t.Fatal(err)
	}
	expect("tag removed", records.Query{Search: "claim"}, 0)
	expect("tag removed", records.Query{Tag: "claim"}, 0)
	if err := store.Delete(t.Context(), one.ID); err != nil {
		t.Fatal(err)
	}
	expect("deleted", records.Query{Search: "heron"}, 1)
	expect("deleted", records.Query{Search: "fail"}, 0)
	expect("deleted", records.Query{Search: "heron fail", Deleted: true}, 1)
	expect("deleted", records.Query{Status: records.Failed, Deleted: true}, 1)
	expect("deleted", records.Query{Search: "proto", Deleted: true}, 0)
	if err := store.Restore(t.Context(), one.ID); err != nil {
		t.Fatal(err)
	}
	expect("restored", records.Query{Search: "heron"}, 2)
	expect("restored", records.Query{Deleted: true}, 0)
}

// shelf is a store of invented takes with the same takes in memory.
type shelf struct {
	store *database
	rows  []records.Row
}

func newShelf(t *testing.T, p place, takes int) shelf {
	t.Helper()
	store := p.open(t)
	random := rand.New(rand.NewPCG(3, 4))
	pick := func(of ...string) string { return of[random.IntN(len(of))] }
	var things []records.Whole
	for n := range takes / 4 {
		unit := records.Unit{Model: pick("Heron 6", "Heron 6 woofer", "Wren tweeter", "Lark headphone"), Serial: fmt.Sprintf("%s-%04d", pick("HR6", "LK"), n),
			Batch: fmt.Sprintf("2026-%02d", 1+n%50), Status: records.Statuses()[random.IntN(6)], Version: 1}
		things = append(things, records.Whole{Unit: &unit})
		for i := range 4 {
			one := sampleTake(n*4+i, 1)
			one.At = time.Date(2026, 1, 1, 12, 0, 0, 0, time.UTC).Add(time.Duration(random.IntN(300*24)) * time.Hour)
			one.Person = pick("Mara Lind", "Tove Kall")
			one.Rig.Name = pick("bench", "damped room")
			one.Subject = take.Subject{Model: unit.Model, Serial: unit.Serial, Batch: unit.Batch, Note: pick("", "", "door slammed", "heron beside", "2026-03 again")}
			whole := records.WholeTake{Kept: records.Kept{Take: one, Summary: sampleSummary()}}
			whole.Summary.MeanDB = float64(random.IntN(30))
			if tag := pick("", "", "golden", "claim"); tag != "" {
				whole.Tags = []string{tag}
			}
			if random.IntN(10) == 0 {
				whole.DeletedAt = one.At.Add(time.Hour)
			}
			things = append(things, records.Whole{Take: &whole})
		}
	}
	if err := store.Import(t.Context(), things...); err != nil {
		t.Fatal(err)
	}
	return shelf{store, nil}
}

// matches is the meaning of a search, spelled out for a take that was read.
func matches(row records.Row, q records.Query) bool {
	split := func(text string) []string {
		return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	}
	day := row.At.Local()
	whole := strings.ToLower(strings.Join([]string{row.Subject.Model, row.Subject.Serial, row.Subject.Batch, row.Subject.Note, row.Person,
		strings.Join(row.Tags, " "), string(row.Status), day.Format("2006 2006-01-02 2 02 January")}, " "))
	list := strings.Fields(whole)
	for _, part := range append(split(row.Subject.Serial), split(row.Subject.Batch+" "+row.Subject.Note)...) {
		list = append(list, part, strings.TrimLeft(part, "0"))
	}
	for _, search := range strings.Fields(strings.ToLower(q.Search)) {
		if !slices.ContainsFunc(list, func(word string) bool { return strings.HasPrefix(word, search) }) {
			return false
		}
	}
	return (q.Model == "" || q.Model == row.Subject.Model) && (q.Status == "" || q.Status == row.Status) &&
		(q.Rig == "" || q.Rig == row.Rig) && (q.Tag == "" || slices.Contains(row.Tags, q.Tag)) &&
		(q.Since.IsZero() || !row.At.Before(q.Since)) && (q.Until.IsZero() || row.At.Before(q.Until)) &&
		(q.Unit.Serial == "" || q.Unit == records.UnitID{Model: row.Subject.Model, Serial: row.Subject.Serial})
}

// Any query finds what its meaning, spelled out in memory, finds.
func TestSearchFindsWhatItMeans(t *testing.T) {
	both(t, findsWhatItMeans)
}

func findsWhatItMeans(t *testing.T, p place) {
	s := newShelf(t, p, 1000)
	living, err := s.store.List(t.Context(), records.Query{})
	if err != nil {
		t.Fatal(err)
	}
	gone, err := s.store.List(t.Context(), records.Query{Deleted: true})
	if err != nil || len(living)+len(gone) != 1000 || len(gone) < 50 {
		t.Fatal(len(living), len(gone), err)
	}
	random := rand.New(rand.NewPCG(5, 6))
	hits := 0
	for range 250 {
		q := randomQuery(random)
		all := living
		if q.Deleted {
			all = gone
		}
		var want []string
		units := map[records.UnitID]bool{}
		for _, row := range all {
			if matches(row, q) {
				want = append(want, row.ID)
				units[records.UnitID{Model: row.Subject.Model, Serial: row.Subject.Serial}] = true
			}
		}
		hits += len(want)
		s.check(t, q, want, len(units))
	}
	if hits < 5_000 {
		t.Errorf("only %d takes were found in all: the test proves too little", hits)
	}
}

// In whatever way a search is done, in each order, it finds the same.
func TestEachWayToSearchFindsTheSame(t *testing.T) {
	both(t, eachWayFindsTheSame)
}

func eachWayFindsTheSame(t *testing.T, p place) {
	s := newShelf(t, p, 600)
	random := rand.New(rand.NewPCG(7, 8))
	for range 150 {
		q := randomQuery(random)
		q.Sort, q.Backwards = records.Sort(random.IntN(int(records.ByStatus)+1)), random.IntN(2) == 0
		gathered, err := s.store.read().find(t.Context(), q, gatherMost)
		if err != nil {
			t.Fatalf("%+v: %v", q, err)
		}
		for _, most := range []int{0, 30} {
			walked, err := s.store.read().find(t.Context(), q, most)
			if diff := cmp.Diff(gathered, walked); diff != "" || err != nil {
				t.Errorf("%+v with %d: %v %s", q, most, err, diff)
			}
		}
	}
}

// check compares a query, its count, and one page of it.
func (s shelf) check(t *testing.T, q records.Query, want []string, units int) {
	t.Helper()
	rows, err := s.store.List(t.Context(), q)
	if err != nil {
		t.Fatalf("%+v: %v", q, err)
	}
	if diff := cmp.Diff(want, idsOf(rows)); diff != "" {
		t.Errorf("%+v: %s", q, diff)
	}
	counted, err := s.store.Count(t.Context(), q, 0)
	if want := (records.Counted{Takes: len(want), Units: units}); err != nil || counted != want {
		t.Errorf("%+v: %+v, want %+v (%v)", q, counted, want, err)
	}
	q.Limit, q.Offset = 7, 5
	page, err := s.store.List(t.Context(), q)
	if diff := cmp.Diff(want[min(5, len(want)):min(12, len(want))], idsOf(page), emptyIsNil()); diff != "" || err != nil {
		t.Errorf("%+v: %v %s", q, err, diff)
	}
}

func emptyIsNil() cmp.Option {
	return cmp.Transformer("length", func(s []string) string { return strings.Join(s, " ") })
}

func idsOf(rows []records.Row) []string {
	var ids []string
	for _, row := range rows {
		ids = append(ids, row.ID)
	}
	return ids
}

func randomQuery(random *rand.Rand) records.Query {
	pick := func(of ...string) string { return of[random.IntN(len(of))] }
	var q records.Query
	for range random.IntN(4) {
		q.Search += " " + pick("heron", "h", "her", "wren", "lark", "6", "hr6", "lk-0", "0", "01", "1", "12", "2026", "2026-0", "2026-03", "2026-03-1",
			"mara", "tove k", "golden", "claim", "p", "pass", "fail", "re", "rel", "door", "slammed", "nothing", "march", "24", "hr6-0012", "april")
	}
	if random.IntN(4) == 0 {
		q.Model = pick("Heron 6", "Lark headphone", "Heron")
	}
	if random.IntN(4) == 0 {
		q.Status = records.Statuses()[random.IntN(6)]
	}
	if random.IntN(6) == 0 {
		q.Tag = pick("golden", "claim", "gold")
	}
	if random.IntN(6) == 0 {
		q.Rig = pick("bench", "damped room")
	}
	if random.IntN(4) == 0 {
		q.Since = time.Date(2026, time.Month(1+random.IntN(10)), 1, 12, 0, 0, 0, time.UTC)
	}
	if random.IntN(4) == 0 {
		q.Until = time.Date(2026, time.Month(1+random.IntN(10)), 1, 12, 0, 0, 0, time.UTC)
	}
	q.Deleted = random.IntN(5) == 0
	return q
}
