package database

import (
	"testing"

	"stillroom/app/records"
)

// After settling a server knows its tables, which it had not looked at before, and a
// search finds the same.
func TestSettledStoreKnowsItsTables(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := newShelf(t, p, 40).store
		before, err := store.List(t.Context(), records.Query{Search: "heron"})
		if err != nil {
			t.Fatal(err)
		}
		if err := store.Settle(t.Context()); err != nil {
			t.Fatal(err)
		}
		after, err := store.List(t.Context(), records.Query{Search: "heron"})
		if err != nil || len(after) == 0 || len(after) != len(before) {
			t.Errorf("%d takes, %d before: %v", len(after), len(before), err)
		}
		if s := store.read(); isServer(s) {
			var rows int
			if err := s.row(t.Context(), "SELECT reltuples::bigint FROM pg_class WHERE oid = 'take'::regclass", nil, &rows); err != nil || rows != 40 {
				t.Errorf("the server knows of %d takes: %v", rows, err)
			}
		}
	})
}
