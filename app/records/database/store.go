package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"iter"
	"os/user"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"stillroom/app/records"
)

// database is a Store in SQL.
type database struct {
	db     *sql.DB
	engine engine
	place  string // for people
	packer *packer

	life     context.Context // until Close
	end      context.CancelFunc
	watchers sync.WaitGroup
}

func newDatabase(db *sql.DB, e engine, place string, packer *packer) *database {
	life, end := context.WithCancel(context.Background())
	return &database{db: db, engine: e, place: place, packer: packer, life: life, end: end}
}

// Where implements records.Store.
func (d *database) Where() string { return d.place }

// Close implements records.Store. What is kept is safe without it.
func (d *database) Close() error {
	d.end()
	d.watchers.Wait()
	if err := d.db.Close(); err != nil {
		return d.explain("closing", err)
	}
	return nil
}

// Watch implements records.Store.
func (d *database) Watch(ctx context.Context) (<-chan records.Change, error) {
	ctx, cancel := context.WithCancel(ctx)
	stop := context.AfterFunc(d.life, cancel)
	context.AfterFunc(ctx, func() { stop() })
	changes, err := d.engine.watch(ctx, d)
	if err != nil {
		cancel()
		return nil, d.explain("watching", err)
	}
	return changes, nil
}

// Backup implements records.Store.
func (d *database) Backup(ctx context.Context, path string) error {
	return d.engine.backup(ctx, d, path)
}

// Everything implements records.Store.
func (d *database) Everything(ctx context.Context) iter.Seq2[records.Whole, error] {
	return func(yield func(records.Whole, error) bool) { d.walk(ctx, yield) }
}

// read is a session outside of any transaction.
func (d *database) read() session { return session{d.db, d.engine.bind, nil} }

// writing is one transaction with the changes that it makes.
type writing struct {
	session
	changed []records.Change
	events  [][]any
}

// write runs fn in one transaction. doing is a verb for the error: "keeping in".
// bytes is how much it moves.
func (d *database) write(ctx context.Context, doing string, bytes int, fn func(context.Context, *writing) error) error {
	ctx, cancel := d.engine.within(ctx, bytes)
	defer cancel()
	tx, err := d.db.BeginTx(ctx, nil)
	if err != nil {
		return d.explain(doing, err)
	}
	defer tx.Rollback()
	w := &writing{session: session{tx, d.engine.bind, nil}}
	if err := fn(ctx, w); err != nil {
		return d.explain(doing, err)
	}
	if err := w.flush(ctx); err != nil {
		return d.explain(doing, err)
	}
	if err := d.engine.tell(ctx, w.session, w.changed); err != nil {
		return d.explain(doing, err)
	}
	if err := tx.Commit(); err != nil {
		return d.explain(doing, err)
	}
	return nil
}

// who is the person of the context, else the one given, else the login name.
func who(ctx context.Context, person string) string {
	if named := records.Actor(ctx); named != "" {
		return named
	}
	if person != "" {
		return person
	}
	if login, err := user.Current(); err == nil {
		return login.Username
	}
	return "unknown"
}

// now is the present moment as it is kept.
func now() time.Time { return time.Now().UTC().Truncate(time.Microsecond) }

// moment is a kept time.
func moment(us int64) time.Time { return time.UnixMicro(us).UTC() }

// checkTexts refuses what cannot be kept as text in every engine: a zero byte, and
// what is not UTF-8.
func checkTexts(texts ...string) error {
	for _, text := range texts {
		if strings.ContainsRune(text, 0) || !utf8.ValidString(text) {
			return fmt.Errorf("the text %q holds a character that cannot be kept: type it again", text)
		}
	}
	return nil
}

// absent tells whether a query found nothing.
func absent(err error) bool { return errors.Is(err, sql.ErrNoRows) }
