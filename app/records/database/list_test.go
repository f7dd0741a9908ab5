package database

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"stillroom/app/records"
	"stillroom/app/take"
)

func TestListRowHoldsWhatAListShows(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		one, summary := sampleTake(1, 10), sampleSummary()
		if err := store.Keep(t.Context(), records.Kept{Take: one, Summary: summary}); err != nil {
			t.Fatal(err)
		}
		rows, err := store.List(t.Context(), records.Query{})
		if err != nil {
			t.Fatal(err)
		}
		if len(rows) != 1 || rows[0].Bytes < 1 || !rows[0].Raw() {
			t.Fatalf("%+v", rows)
		}
		summary.Place = "15°, 0.50 m"
		want := []records.Row{{ID: one.ID, At: one.At.Truncate(time.Microsecond), Person: one.Person, Subject: one.Subject,
			Rig: "bench", Version: "0.1.0", Status: records.Prototype, Bytes: rows[0].Bytes, Summary: summary}}
		if diff := cmp.Diff(want, rows, cmpopts.EquateNaNs()); diff != "" {
			t.Error(diff)
		}
	})
}

func TestUnknownMeanLevelIsNotANumber(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		for n, level := range []float64{math.NaN(), math.Inf(-1)} {
			if err := store.Keep(t.Context(), records.Kept{Take: sampleTake(n, 1), Summary: records.Summary{MeanDB: level}}); err != nil {
				t.Fatal(err)
			}
		}
		rows, err := store.List(t.Context(), records.Query{})
		if err != nil || len(rows) != 2 {
			t.Fatal(rows, err)
		}
		for _, row := range rows {
			if !math.IsNaN(row.MeanDB) {
				t.Errorf("mean level %g", row.MeanDB)
			}
		}
	})
}

func TestListOrderPagesAndSearch(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
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
			query records.Query
			want  []string
			count int
		}{
			{records.Query{}, []string{"3", "2", "1", "0"}, 4},
			{records.Query{Limit: 2}, []string{"3", "2"}, 4},
			{records.Query{Limit: 2, Offset: 3}, []string{"0"}, 4},
			{records.Query{Offset: 4}, nil, 4},
			{records.Query{Search: "heron"}, []string{"1", "0"}, 2},
			{records.Query{Search: "  HERON jo "}, []string{"1"}, 1},
			{records.Query{Search: "änderung"}, []string{"1"}, 1},
			{records.Query{Search: "ÄNDERUNG"}, []string{"1"}, 1},
			{records.Query{Search: "w_5"}, []string{"2"}, 1},
			{records.Query{Search: "%"}, []string{"3", "2", "1", "0"}, 4},
			{records.Query{Search: `' \ quot`}, []string{"3"}, 1},
			{records.Query{Search: "heron wren"}, nil, 0},
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
			if n, err := store.Count(t.Context(), test.query, 0); n.Takes != test.count || err != nil {
				t.Errorf("%+v: count %d, want %d (%v)", test.query, n.Takes, test.count, err)
			}
		}
	})
}

// Takes of one moment still have one order.
func TestListOrderIsTotal(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		for _, id := range []string{"b", "c", "a"} {
			one := sampleTake(0, 1)
			one.ID = id
			keepAll(t, store, one)
		}
		var before []records.Row
		for range 3 {
			rows, err := store.List(t.Context(), records.Query{})
			if err != nil || len(rows) != 3 || before != nil && !cmp.Equal(before, rows, cmpopts.EquateNaNs()) {
				t.Errorf("%v %v", rows, err)
			}
			before = rows
		}
	})
}

func BenchmarkListPageOfManyTakes(b *testing.B) {
	store, err := openSQLite(b.Context(), b.TempDir()+"/records.db", busyWait)
	if err != nil {
		b.Fatal(err)
	}
	defer store.Close()
	for n := range 2000 {
		if err := store.Keep(context.Background(), records.Kept{Take: sampleTake(n, 10), Summary: sampleSummary()}); err != nil {
			b.Fatal(err)
		}
	}
	for b.Loop() {
		if _, err := store.List(b.Context(), records.Query{Search: "heron", Limit: 50}); err != nil {
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
		one.ID = records.NewID(one.At.Add(time.Duration(n)))
		if err := store.Keep(context.Background(), records.Kept{Take: one, Summary: sampleSummary()}); err != nil {
			b.Fatal(err)
		}
	}
}
