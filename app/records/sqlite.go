package records

import (
	"context"
	"database/sql"
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	_ "github.com/mattn/go-sqlite3" // registers the driver "sqlite3"
)

// file is a Store in one SQLite file. Its journal is a write-ahead log, synced at
// each commit, so that what is committed survives also a loss of power.
type file struct {
	path   string
	db     *sql.DB
	packer *packer
}

// openSQLite opens the file at path, and makes it and its folder where they are
// missing. Each call waits so long for another program's write.
func openSQLite(ctx context.Context, path string, wait time.Duration) (Store, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if err := makeFolder(filepath.Dir(path)); err != nil {
		return nil, explain(path, "opening", err)
	}
	packer, err := newPacker()
	if err != nil {
		return nil, err
	}
	db, err := sql.Open("sqlite3", address(path, wait))
	if err != nil {
		return nil, explain(path, "opening", err)
	}
	db.SetMaxOpenConns(4)
	if err := start(ctx, db, wait); err != nil {
		return nil, errors.Join(explain(path, "opening", err), db.Close())
	}
	return &file{path, db, packer}, nil
}

// makeFolder makes the folder of a new file, for its owner only.
func makeFolder(folder string) error {
	return os.MkdirAll(folder, 0o700)
}

// start migrates. Several programs that make one new file at once can find it
// locked in spite of the busy wait, because the change to a write-ahead log does
// not wait; so it is tried again until that wait is over.
func start(ctx context.Context, db *sql.DB, wait time.Duration) error {
	deadline := time.Now().Add(wait)
	for {
		err := migrate(ctx, db, schemaSteps())
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

// Where is the path of the file.
func (f *file) Where() string { return f.path }

// Close ends the use of the file. Takes that are kept are safe without it.
func (f *file) Close() error {
	if err := f.db.Close(); err != nil {
		return explain(f.path, "closing", err)
	}
	return nil
}

// write runs fn in one transaction that holds the write lock from its start.
func (f *file) write(ctx context.Context, doing string, fn func(*sql.Tx) error) error {
	tx, err := f.db.BeginTx(ctx, nil)
	if err != nil {
		return explain(f.path, doing, err)
	}
	defer tx.Rollback()
	if err := fn(tx); err != nil {
		return explain(f.path, doing, err)
	}
	if err := tx.Commit(); err != nil {
		return explain(f.path, doing, err)
	}
	return nil
}
