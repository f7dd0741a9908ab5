package database

import (
	"context"
	"encoding/json"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"stillroom/app/records"
)

// channel is the SQL that names the channel of the notifications: one for each schema.
const channel = "'stillroom_' || md5(current_schema())"

// longestPayload is what one notification may hold (PostgreSQL documentation, NOTIFY).
const longestPayload = 7999

// tell implements engine.
func (server) tell(ctx context.Context, s session, changes []records.Change) error {
	if len(changes) == 0 {
		return nil
	}
	payload, err := json.Marshal(changes)
	if err != nil {
		return err
	}
	if len(changes) > mostTold || len(payload) > longestPayload {
		payload = []byte("[{}]")
	}
	_, err = s.exec(ctx, "SELECT pg_notify("+channel+", ?)", string(payload))
	return err
}

// watch implements engine, on a connection of its own.
func (e server) watch(ctx context.Context, d *database) (<-chan records.Change, error) {
	conn, err := e.listen(ctx)
	if err != nil {
		return nil, err
	}
	teller := newTeller()
	d.watchers.Go(func() {
		defer teller.end()
		e.relay(ctx, conn, teller)
	})
	return teller.out, nil
}

// listen connects and waits for notifications from then on.
func (e server) listen(ctx context.Context) (*pgx.Conn, error) {
	ctx, cancel := e.within(ctx, 0)
	defer cancel()
	conn, err := pgx.ConnectConfig(ctx, e.config)
	if err != nil {
		return nil, err
	}
	var name string
	err = conn.QueryRow(ctx, "SELECT "+channel).Scan(&name)
	if err == nil {
		_, err = conn.Exec(ctx, "LISTEN "+pgx.Identifier{name}.Sanitize())
	}
	if err != nil {
		conn.Close(ctx)
		return nil, err
	}
	return conn, nil
}

const (
	quietFor   = 10 * time.Second // then the connection is tried
	askFor     = 5 * time.Second
	againAfter = 500 * time.Millisecond
)

// relay hands notifications on until ctx ends. Where the connection breaks it makes
// another one, and says that something may have changed meanwhile.
func (e server) relay(ctx context.Context, conn *pgx.Conn, t *teller) {
	for {
		err := e.relayOn(ctx, conn, t)
		close, cancel := context.WithTimeout(context.WithoutCancel(ctx), time.Second)
		conn.Close(close)
		cancel()
		for err != nil {
			if !wait(ctx, againAfter) {
				return
			}
			conn, err = e.listen(ctx)
		}
		if ctx.Err() != nil {
			return
		}
		t.tell([]records.Change{{}})
	}
}

// relayOn returns what ended the connection.
func (e server) relayOn(ctx context.Context, conn *pgx.Conn, t *teller) error {
	for {
		waiting, cancel := context.WithTimeout(ctx, quietFor)
		note, err := conn.WaitForNotification(waiting)
		cancel()
		switch {
		case err == nil:
			t.tell(changesIn(note.Payload))
		case ctx.Err() != nil:
			return ctx.Err()
		case errors.Is(err, context.DeadlineExceeded) && !conn.IsClosed():
			asking, cancel := context.WithTimeout(ctx, askFor)
			err = conn.Ping(asking)
			cancel()
			t.tell(nil) // what did not fit before
		}
		if err != nil {
			return err
		}
	}
}

func changesIn(payload string) []records.Change {
	var changes []records.Change
	if json.Unmarshal([]byte(payload), &changes) != nil {
		return []records.Change{{}} // of another version
	}
	return changes
}
