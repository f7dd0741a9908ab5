package records

import (
	"slices"
	"testing"
	"time"
)

func TestIDsSortByTimeAndDiffer(t *testing.T) {
	base := time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC)
	steps := []time.Duration{0, time.Microsecond, time.Millisecond, time.Second, time.Hour, 24 * 365 * time.Hour, 24 * 365 * 200 * time.Hour}
	var ids []string
	for _, step := range steps {
		ids = append(ids, NewID(base.Add(step)))
	}
	if !slices.IsSorted(ids) {
		t.Errorf("not in order: %q", ids)
	}
	seen := map[string]bool{}
	for range 1000 {
		id := NewID(base)
		if len(id) != 24 || seen[id] {
			t.Fatalf("%q", id)
		}
		seen[id] = true
	}
	if id := NewID(time.Date(1960, 1, 1, 0, 0, 0, 0, time.UTC)); id[:11] != "00000000000" {
		t.Errorf("before 1970: %q", id)
	}
}
