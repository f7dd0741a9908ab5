package database

import (
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stillroom/app/board"
	"stillroom/app/records"
)

func TestModelsThatTakesCarry(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		if models, err := store.Models(t.Context()); len(models) != 0 || err != nil {
			t.Errorf("of no takes: %q %v", models, err)
		}
		for n, name := range []string{"Wren tweeter", "", "Heron 6", "ärger '", "Heron 6", "Lark headphone"} {
			one := sampleTake(n, 1)
			one.Subject.Model = name
			keepAll(t, store, one)
		}
		if err := store.Delete(t.Context(), sampleTake(5, 0).ID, sampleTake(2, 0).ID); err != nil {
			t.Fatal(err)
		}
		models, err := store.Models(t.Context())
		if want := []string{"Heron 6", "Wren tweeter", "ärger '"}; !slices.Equal(models, want) || err != nil {
			t.Errorf("%q, want %q (%v)", models, want, err)
		}
	})
}

// The list is as fast with many takes as with few: it does not read them.
func BenchmarkModelsOfManyTakes(b *testing.B) {
	store := newFile(b).open(b)
	for n := range 200 {
		var kept []records.Kept
		for i := range 100 {
			one := sampleTake(n*100+i, 1)
			one.Subject.Model = fmt.Sprint("model ", i%20)
			kept = append(kept, records.Kept{Take: one, Summary: sampleSummary()})
		}
		if err := store.Keep(b.Context(), kept...); err != nil {
			b.Fatal(err)
		}
	}
	for b.Loop() {
		if models, err := store.Models(b.Context()); len(models) != 20 || err != nil {
			b.Fatal(models, err)
		}
	}
}

func TestBoardsComeBack(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		boards := records.Boards(p.open(t))
		kept, err := boards.Keep(t.Context(), records.Versioned[board.Board]{Value: board.New("spring batch")})
		if err != nil {
			t.Fatal(err)
		}
		got, err := boards.Get(t.Context(), "spring batch")
		if diff := cmp.Diff(kept, got); diff != "" || err != nil {
			t.Error(diff, err)
		}
	})
}
