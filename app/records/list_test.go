package records

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"stillroom/app/take"
)

func TestListRowHoldsWhatAListShows(t *testing.T) {
	store := newStore(t)
	one, summary := sampleTake(1, 10), sampleSummary()
	if err := store.Keep(t.Context(), one, summary); err != nil {
		t.Fatal(err)
	}
	rows, err := store.List(t.Context(), Query{})
	if err != nil {
		t.Fatal(err)
	}
	want := []Row{{ID: one.ID, At: one.At.Truncate(time.Microsecond), Person: one.Person, Subject: one.Subject,
		Rig: "bench", Version: "0.1.0", Summary: summary}}
	if diff := cmp.Diff(want, rows, cmpopts.EquateNaNs()); diff != "" {
		t.Error(diff)
	}
}

func TestUnknownMeanLevelIsNotANumber(t *testing.T) {
	store := newStore(t)
	for n, level := range []float64{math.NaN(), math.Inf(-1)} {
		if err := store.Keep(t.Context(), sampleTake(n, 1), Summary{MeanDB: level}); err != nil {
			t.Fatal(err)
		}
	}
	rows, err := store.List(t.Context(), Query{})
	if err != nil || len(rows) != 2 {
		t.Fatal(rows, err)
	}
	for _, row := range rows {
		if !math.IsNaN(row.MeanDB) {
			t.Errorf("mean level %g", row.MeanDB)
		}
	}
}

func TestListOrderPagesAndSearch(t *testing.T) {
	store := newStore(t)
	subjects := []struct {
		take.Subject
		person string
	}{
		{take.Subject{Model: "Heron 6", Serial: "0001", Batch: "A"}, "Mara"},
		{take.Subject{Model: "Heron 6 woofer", Serial: "0002", Note: "nach Änderung"}, "Jo"},
		{take.Subject{Model: "Wren tweeter", Serial: "W_50%", Batch: "A"}, "Jo"},
		{take.Subject{Model: "Lark headphone", Serial: "0004", Note: `quoted ' and \`}, "Mara"},
	}
	for n, s := range subjects {
		one := sampleTake(n, 1)
		one.Subject, one.Person = s.Subject, s.person
		keepAll(t, store, one)
	}
	for _, test := range []struct {
		query Query
		want  []string
		count int
	}{
		{Query{}, []string{"3", "2", "1", "0"}, 4},
		{Query{Limit: 2}, []string{"3", "2"}, 4},
		{Query{Limit: 2, Offset: 3}, []string{"0"}, 4},
		{Query{Offset: 4}, nil, 4},
		{Query{Search: "heron"}, []string{"1", "0"}, 2},
		{Query{Search: "  HERON jo "}, []string{"1"}, 1},
		{Query{Search: "änderung"}, []string{"1"}, 1},
		{Query{Search: "ÄNDERUNG"}, []string{"1"}, 1},
		{Query{Search: "w_5"}, []string{"2"}, 1},
		{Query{Search: "%"}, []string{"2"}, 1},
		{Query{Search: `' \`}, []string{"3"}, 1},
		{Query{Search: "heron wren"}, nil, 0},
	} {
		rows, err := store.List(t.Context(), test.query)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, row := range rows {
			got = append(got, row.ID[len(row.ID)-1:])
		}
		if diff := cmp.Diff(test.want, got); diff != "" {
			t.Errorf("%+v: %s", test.query, diff)
		}
		if n, err := store.Count(t.Context(), test.query); n != test.count || err != nil {
			t.Errorf("%+v: count %d, want %d (%v)", test.query, n, test.count, err)
		}
	}
}

// Takes of one moment still have one order.
func TestListOrderIsTotal(t *testing.T) {
	store := newStore(t)
	for _, id := range []string{"b", "c", "a"} {
		one := sampleTake(0, 1)
		one.ID = id
		keepAll(t, store, one)
	}
	rows, err := store.List(t.Context(), Query{})
	if err != nil || len(rows) != 3 || rows[0].ID != "c" || rows[1].ID != "b" || rows[2].ID != "a" {
		t.Errorf("%v %v", rows, err)
	}
}

func BenchmarkListPageOfManyTakes(b *testing.B) {
	store, err := openSQLite(b.Context(), b.TempDir()+"/records.db", busyWait)
	if err != nil {
		b.Fatal(err)
	}
	defer store.Close()
	for n := range 2000 {
		if err := store.Keep(context.Background(), sampleTake(n, 10), sampleSummary()); err != nil {
			b.Fatal(err)
		}
	}
	for b.Loop() {
		if _, err := store.List(b.Context(), Query{Search: "heron", Limit: 50}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkKeepTenSeconds(b *testing.B) {
	store, err := openSQLite(b.Context(), b.TempDir()+"/records.db", busyWait)
	if err != nil {
		b.Fatal(err)
	}
	defer store.Close()
	one, n := sampleTake(0, 480000), 0
	for b.Loop() {
		n++
		one.ID = NewID(one.At.Add(time.Duration(n)))
		if err := store.Keep(context.Background(), one, sampleSummary()); err != nil {
			b.Fatal(err)
		}
	}
}
