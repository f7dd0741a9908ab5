package database

import (
	"context"
	"database/sql"

	"stillroom/app/records"
)

// engine is what differs between SQLite and PostgreSQL.
type engine interface {
	// steps are the SQL texts that make the tables, in order.
	steps() []string

	// look tells whether the place has no table yet; ErrNotRecords where the tables
	// are another program's.
	look(ctx context.Context, s session) (empty bool, err error)

	// prepare sets what belongs to the place and cannot change in a transaction.
	prepare(ctx context.Context, db *sql.DB) error

	// claim, in the transaction of the steps, keeps others from running them at the
	// same time; mark makes an empty place ours.
	claim(ctx context.Context, s session) error
	mark(ctx context.Context, s session) error

	// bind turns the question marks of a statement into the engine's placeholders.
	bind(statement string) string

	// within bounds a call that moves so many bytes in time.
	within(ctx context.Context, bytes int) (context.Context, context.CancelFunc)

	// cause sorts an error and says what helps. The kind is nil, and the advice
	// empty, for an error that says enough by itself.
	cause(err error) (advice string, kind error)

	// plain is what an error says, on one line and without a secret.
	plain(err error) error

	// isDuplicate tells whether a key was there already.
	isDuplicate(err error) bool

	// snapshot begins a transaction that reads one state.
	snapshot() string

	// tell lets Watch know of changes when the transaction of s is committed.
	tell(ctx context.Context, s session, changes []records.Change) error

	// watch tells of changes until ctx ends.
	watch(ctx context.Context, d *database) (<-chan records.Change, error)

	// settling is a statement for after a large import; empty where none is needed.
	settling() string

	// backup writes a copy to a new file.
	backup(ctx context.Context, d *database, path string) error
}
