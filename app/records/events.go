package records

import (
	"context"
	"database/sql"
	"time"
)

func insertEvent(ctx context.Context, tx *sql.Tx, id, what, who string) error {
	_, err := tx.ExecContext(ctx, "INSERT INTO event (take_id, at_us, who, what) VALUES (?, ?, ?, ?)",
		id, time.Now().UnixMicro(), who, what)
	return err
}

// History implements Store.
func (f *file) History(ctx context.Context, id string) ([]Event, error) {
	found, err := f.db.QueryContext(ctx, "SELECT at_us, who, what FROM event WHERE take_id = ? ORDER BY number", id)
	if err != nil {
		return nil, explain(f.path, "reading the history in", err)
	}
	defer found.Close()
	var events []Event
	for found.Next() {
		var e Event
		var atUS int64
		if err := found.Scan(&atUS, &e.Who, &e.What); err != nil {
			return nil, explain(f.path, "reading the history in", err)
		}
		e.At = time.UnixMicro(atUS).UTC()
		events = append(events, e)
	}
	if err := found.Err(); err != nil {
		return nil, explain(f.path, "reading the history in", err)
	}
	return events, nil
}
