// Package upkeep looks after records: it verifies them, copies them to another place,
// backs them up, and lets recordings go that need not be kept any longer.
package upkeep

import (
	"context"
	"math"

	"stillroom/app/records"
	"stillroom/app/take"
)

// Progress is told how far a work is: so many of all things are done. all is an
// estimate; 0 where nothing is known. nil is allowed wherever one is asked for.
type Progress func(done, all int)

func (p Progress) tell(done, all int) {
	if p != nil {
		p(done, max(done, all))
	}
}

// Summarise makes of an analysis what a list shows of a take.
type Summarise func(*take.Analysis) records.Summary

// recompute reads the summary of a take from its recording, with the settings it was
// kept with. A gate that was resolved then is taken as it is: in a series it was that
// of the first seating.
func recompute(t *take.Take, summarise Summarise) (records.Summary, error) {
	study, err := take.NewStudy(t)
	if err != nil {
		return records.Summary{}, err
	}
	set := t.Settings
	if set.Gate.CloseS > 0 {
		set.Gate.Auto = false
	}
	a, err := study.Analyse(set)
	if err != nil {
		return records.Summary{}, err
	}
	s := summarise(a)
	if t.Override != "" {
		s.Worst = take.Void
	}
	return s, nil
}

// allOf is how many takes a store has, deleted ones among them.
func allOf(ctx context.Context, store records.Store) (int, error) {
	n := 0
	for _, q := range []records.Query{{}, {Deleted: true}} {
		c, err := store.Count(ctx, q, 0)
		if err != nil {
			return 0, err
		}
		n += c.Takes
	}
	return n, nil
}

// apart is by how much two levels differ, dB; 0 where both are unknown, infinite where
// one is.
func apart(a, b float64) float64 {
	switch {
	case math.IsNaN(a) && math.IsNaN(b):
		return 0
	case math.IsNaN(a) != math.IsNaN(b):
		return math.Inf(1)
	}
	return math.Abs(a - b)
}
