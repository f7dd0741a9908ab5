package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	_ "github.com/mattn/go-sqlite3" // registers the driver "sqlite3"

	"stillroom/app/records"
)

// lite is the engine of one SQLite file. Its journal is a write-ahead log, synced at
// each commit, so that what is committed survives also a loss of power.
type lite struct{ path string }

// openSQLite opens the file at path, and makes it and its folder where they are
// missing. Each call waits so long for another program's write.
func openSQLite(ctx context.Context, path string, wait time.Duration) (*database, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	e := lite{path}
	if err := makeFolder(filepath.Dir(path)); err != nil {
		return nil, explain(e, path, "opening", err)
	}
	packer, err := newPacker()
	if err != nil {
		return nil, err
	}
	db, err := sql.Open("sqlite3", address(path, wait))
	if err != nil {
		return nil, explain(e, path, "opening", err)
	}
	db.SetMaxOpenConns(4)
	if err := start(ctx, db, e, wait); err != nil {
		return nil, errors.Join(explain(e, path, "opening", err), db.Close())
	}
	return newDatabase(db, e, path, packer), nil
}

// makeFolder makes the folder of a new file, for its owner only.
func makeFolder(folder string) error {
	return os.MkdirAll(folder, 0o700)
}

// start migrates. Several programs that make one new file at once can find it
// locked in spite of the busy wait, because the change to a write-ahead log does
// not wait; so it is tried again until that wait is over.
func start(ctx context.Context, db *sql.DB, e lite, wait time.Duration) error {
	deadline := time.Now().Add(wait)
	for {
		err := migrate(ctx, db, e, e.steps())
		if !isBusy(err) || time.Now().After(deadline) {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// address is the driver's name for the file: its path, escaped, with the
// settings that each connection begins with.
func address(path string, wait time.Duration) string {
	parts := strings.Split(filepath.ToSlash(path), "/")
	for i, part := range parts {
		parts[i] = url.PathEscape(part)
	}
	settings := url.Values{
		"_txlock":       {"immediate"},
		"_busy_timeout": {strconv.FormatInt(wait.Milliseconds(), 10)},
		"_synchronous":  {"FULL"},
		"_foreign_keys": {"on"},
	}
	return "file:" + strings.Join(parts, "/") + "?" + settings.Encode()
}

// applicationID marks a SQLite file as ours: "Stil" as a number.
const applicationID = 0x5374696c

// look implements engine.
func (lite) look(ctx context.Context, s session) (empty bool, err error) {
	var id, tables int
	if err := s.row(ctx, "PRAGMA application_id", nil, &id); err != nil {
		return false, err
	}
	if err := s.row(ctx, "SELECT count(*) FROM sqlite_master", nil, &tables); err != nil {
		return false, err
	}
	if tables > 0 && id != applicationID {
		return false, fmt.Errorf("%w: it is a database of another program", records.ErrNotRecords)
	}
	return tables == 0, nil
}

// prepare implements engine. The mode is a property of the file.
func (lite) prepare(ctx context.Context, db *sql.DB) error {
	_, err := db.ExecContext(ctx, "PRAGMA journal_mode = WAL")
	return err
}

// claim implements engine: the transaction began with the write lock (_txlock).
func (lite) claim(context.Context, session) error { return nil }

// mark implements engine.
func (lite) mark(ctx context.Context, s session) error {
	_, err := s.q.ExecContext(ctx, fmt.Sprintf(`PRAGMA application_id = %d;
CREATE TABLE IF NOT EXISTS schema_step (
	number INTEGER PRIMARY KEY,
	sha256 TEXT NOT NULL,
	at_us  INTEGER NOT NULL
)`, applicationID))
	return err
}

// bind implements engine.
func (lite) bind(statement string) string { return statement }

// within implements engine: a file answers, and waits for locks by itself.
func (lite) within(ctx context.Context, _ int) (context.Context, context.CancelFunc) {
	return ctx, func() {}
}

// plain implements engine.
func (lite) plain(err error) error { return err }

// snapshot implements engine.
func (lite) snapshot() string { return "BEGIN DEFERRED" }

// tell implements engine: the file itself shows that it was changed.
func (lite) tell(context.Context, session, []records.Change) error { return nil }
