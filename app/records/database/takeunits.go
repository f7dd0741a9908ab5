package database

import (
	"context"

	"stillroom/app/records"
)

// makeUnits makes the units of takes where there are none.
func (w *writing) makeUnits(ctx context.Context, takes []packedTake) error {
	seen := map[records.UnitID]bool{}
	for _, p := range takes {
		s := p.Take.Subject
		id := records.UnitID{Model: s.Model, Serial: s.Serial}
		if s.Serial == "" || seen[id] {
			continue
		}
		seen[id] = true
		u := records.Unit{Model: s.Model, Serial: s.Serial, Batch: s.Batch, Status: records.Prototype,
			Person: who(ctx, p.Take.Person), At: now(), Version: 1}
		made, err := w.insertUnit(ctx, u)
		if err != nil {
			return err
		}
		if made {
			w.event(records.AboutUnit(id), records.Event{At: u.At, Who: u.Person, What: records.WasKept, Detail: "with its first take"})
		}
	}
	return nil
}
