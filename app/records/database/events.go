package database

import (
	"context"
	"slices"

	"stillroom/app/records"
)

// event notes what was done; it is written at the end of the transaction.
func (w *writing) event(about records.Subject, e records.Event) {
	w.events = append(w.events, []any{string(about.Kind), about.ID, e.At.UnixMicro(), e.Who, string(e.What), e.Detail, e.Body})
	w.changes(about)
}

// changes marks subjects as changed, for those who watch.
func (w *writing) changes(about ...records.Subject) {
	for _, one := range about {
		if !slices.Contains(w.changed, records.Change(one)) && len(w.changed) <= mostTold {
			w.changed = append(w.changed, records.Change(one))
		}
	}
}

// mostTold is how many changes of one transaction are told one by one.
const mostTold = 20

// flush writes the events.
func (w *writing) flush(ctx context.Context) error {
	return w.insert(ctx, "event", "kind, subject, at_us, who, what, detail, body", w.events, "")
}

// History implements records.Store.
func (d *database) History(ctx context.Context, about records.Subject) ([]records.Event, error) {
	ctx, cancel := d.engine.within(ctx, 0)
	defer cancel()
	events, err := d.read().history(ctx, about)
	if err != nil {
		return nil, d.explain("reading the history in", err)
	}
	return events, nil
}

func (s session) history(ctx context.Context, about records.Subject) ([]records.Event, error) {
	return collect(ctx, s, "SELECT at_us, who, what, detail, body FROM event WHERE kind = ? AND subject = ? ORDER BY number",
		[]any{string(about.Kind), about.ID}, func(r scanner) (records.Event, error) {
			var e records.Event
			var atUS int64
			err := r.Scan(&atUS, &e.Who, &e.What, &e.Detail, &e.Body)
			e.At = moment(atUS)
			return e, err
		})
}
