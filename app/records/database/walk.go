package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"stillroom/app/records"
)

// pageOfWalk is how many things are read at a time.
const pageOfWalk = 200

// errStopped says that the reader of a walk wants no more.
var errStopped = errors.New("stopped")

// walk yields everything as it is in one snapshot. It may last as long as its reader
// likes, so not the walk is bounded in time but each query.
func (d *database) walk(ctx context.Context, yield func(records.Whole, error) bool) {
	conn, err := d.conn(ctx)
	if err == nil {
		defer conn.Close()
		err = d.inTime(ctx, conn, d.engine.snapshot())
	}
	if err == nil {
		defer d.inTime(context.WithoutCancel(ctx), conn, "ROLLBACK")
		err = d.walkAll(ctx, session{conn, d.engine.bind, d.engine.within}, yield)
	}
	if err != nil && !errors.Is(err, errStopped) {
		yield(records.Whole{}, d.explain("reading everything in", err))
	}
}

// conn is a connection of its own.
func (d *database) conn(ctx context.Context) (*sql.Conn, error) {
	ctx, cancel := d.engine.within(ctx, 0)
	defer cancel()
	return d.db.Conn(ctx)
}

// inTime runs one short statement.
func (d *database) inTime(ctx context.Context, conn *sql.Conn, statement string) error {
	ctx, cancel := d.engine.within(ctx, 0)
	defer cancel()
	_, err := conn.ExecContext(ctx, statement)
	return err
}

func (d *database) walkAll(ctx context.Context, s session, yield func(records.Whole, error) bool) error {
	for _, part := range []func(context.Context, session, func(records.Whole, error) error) error{
		walkCounters, walkDocuments, walkUnits, d.walkTakes,
	} {
		err := part(ctx, s, func(w records.Whole, err error) error {
			if !yield(w, err) {
				return errStopped
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

func walkCounters(ctx context.Context, s session, give func(records.Whole, error) error) error {
	all, err := collect(ctx, s, "SELECT name, next FROM counter ORDER BY name", nil, func(r scanner) (records.Counter, error) {
		var c records.Counter
		return c, r.Scan(&c.Name, &c.Next)
	})
	for i := range all {
		if err == nil {
			err = give(records.Whole{Counter: &all[i]}, nil)
		}
	}
	return err
}

func walkDocuments(ctx context.Context, s session, give func(records.Whole, error) error) error {
	type key struct{ kind, name string }
	keys, err := collect(ctx, s, "SELECT kind, name FROM document ORDER BY kind, name", nil, func(r scanner) (key, error) {
		var k key
		return k, r.Scan(&k.kind, &k.name)
	})
	for _, k := range keys {
		var one records.WholeDocument
		if err == nil {
			one, err = s.wholeDocument(ctx, k.kind, k.name)
		}
		if err == nil {
			err = s.giveWhole(ctx, records.Whole{Document: &one}, give)
		}
	}
	return err
}

func (s session) wholeDocument(ctx context.Context, kind, name string) (records.WholeDocument, error) {
	var one records.WholeDocument
	var atUS int64
	var deleted sql.NullInt64
	err := s.row(ctx, "SELECT "+documentColumns+", deleted_us FROM document WHERE kind = ? AND name = ?", []any{kind, name},
		&one.Kind, &one.Name, &one.Version, &atUS, &one.Who, &one.Body, &deleted)
	one.At = moment(atUS)
	if deleted.Valid {
		one.DeletedAt = moment(deleted.Int64)
	}
	return one, err
}

func walkUnits(ctx context.Context, s session, give func(records.Whole, error) error) error {
	last := records.UnitID{}
	for {
		page, err := collect(ctx, s, "SELECT "+unitColumns+` FROM unit WHERE (model, serial) > (?, ?)
			ORDER BY model, serial LIMIT ?`, []any{last.Model, last.Serial, pageOfWalk}, scanUnit)
		if err != nil || len(page) == 0 {
			return err
		}
		for i := range page {
			if err := s.giveWhole(ctx, records.Whole{Unit: &page[i]}, give); err != nil {
				return err
			}
		}
		last = page[len(page)-1].ID()
	}
}

// giveWhole adds notes and events to a thing and gives it on.
func (s session) giveWhole(ctx context.Context, w records.Whole, give func(records.Whole, error) error) error {
	var err error
	if w.Notes, err = s.notes(ctx, w.Subject()); err != nil {
		return err
	}
	if w.Events, err = s.history(ctx, w.Subject()); err != nil {
		return err
	}
	return give(w, nil)
}

// walkTakes goes from ID to ID. A take that cannot be read is given as an error.
func (d *database) walkTakes(ctx context.Context, s session, give func(records.Whole, error) error) error {
	last := ""
	for {
		rows, err := collect(ctx, s, "SELECT "+rowColumns+" FROM "+rowTables+" WHERE take.id > ? ORDER BY take.id LIMIT ?",
			[]any{last, pageOfWalk}, scanRow)
		if err == nil {
			err = s.addTags(ctx, rows)
		}
		if err != nil || len(rows) == 0 {
			return err
		}
		for _, row := range rows {
			if err := d.giveTake(ctx, s, row, give); err != nil {
				return err
			}
		}
		last = rows[len(rows)-1].ID
	}
}

func (d *database) giveTake(ctx context.Context, s session, row records.Row, give func(records.Whole, error) error) error {
	stored, err := d.stored(ctx, s, row.ID, row.Bytes)
	if err != nil {
		return fmt.Errorf("take %s: %w", row.ID, err)
	}
	t, err := d.unpack(row.ID, stored)
	if err != nil {
		return give(records.Whole{}, err)
	}
	one := records.WholeTake{Kept: records.Kept{Take: t, Summary: row.Summary}, Tags: row.Tags}
	if stored.deleted.Valid {
		one.DeletedAt = moment(stored.deleted.Int64)
	}
	return s.giveWhole(ctx, records.Whole{Take: &one}, give)
}
