package database

import (
	"context"
	"database/sql"
	"time"

	"stillroom/app/records"
)

// lookEvery is how often a file is looked at for changes.
const lookEvery = 400 * time.Millisecond

// watch implements engine. One connection of its own looks at the counter of changes
// that others made to the file (https://sqlite.org/pragma.html#pragma_data_version),
// and reads what they were in the history.
func (lite) watch(ctx context.Context, d *database) (<-chan records.Change, error) {
	conn, err := d.db.Conn(ctx)
	if err != nil {
		return nil, err
	}
	l := &looker{session: session{conn, d.engine.bind, nil}}
	if _, err := l.look(ctx); err != nil {
		conn.Close()
		return nil, err
	}
	teller := newTeller()
	d.watchers.Go(func() {
		defer conn.Close()
		defer teller.end()
		for wait(ctx, lookEvery) {
			changes, err := l.look(ctx)
			if err != nil {
				changes = []records.Change{{}}
			}
			teller.tell(changes)
		}
	})
	return teller.out, nil
}

// looker remembers what it saw last.
type looker struct {
	session
	version, event int64
}

// look returns what was changed since the last look: at the first nothing.
func (l *looker) look(ctx context.Context) ([]records.Change, error) {
	before := *l
	if err := l.row(ctx, "PRAGMA data_version", nil, &l.version); err != nil {
		return nil, err
	}
	if l.version == before.version {
		return nil, nil
	}
	var last sql.NullInt64
	if err := l.row(ctx, "SELECT max(number) FROM event", nil, &last); err != nil {
		return nil, err
	}
	l.event = last.Int64
	if l.event == before.event || l.event-before.event > mostTold {
		return []records.Change{{}}, nil
	}
	return collect(ctx, l.session, "SELECT DISTINCT kind, subject FROM event WHERE number > ?", []any{before.event},
		func(r scanner) (records.Change, error) {
			var c records.Change
			return c, r.Scan(&c.Kind, &c.ID)
		})
}
