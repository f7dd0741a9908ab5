package database

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"stillroom/app/records"
)

const documentColumns = "kind, name, version, at_us, who, body"

// Document implements records.Store.
func (d *database) Document(ctx context.Context, kind records.Kind, name string) (records.Document, error) {
	ctx, cancel := d.engine.within(ctx, 0)
	defer cancel()
	found, err := collect(ctx, d.read(), "SELECT "+documentColumns+" FROM document WHERE kind = ? AND name = ? AND deleted_us IS NULL",
		[]any{string(kind), name}, scanDocument)
	one, err := first(found, err)
	if absent(err) {
		return one, noDocument(kind, name)
	}
	if err != nil {
		return one, d.explain("reading a "+string(kind)+" in", err)
	}
	return one, nil
}

// Documents implements records.Store.
func (d *database) Documents(ctx context.Context, kind records.Kind) ([]records.Document, error) {
	ctx, cancel := d.engine.within(ctx, 0)
	defer cancel()
	found, err := collect(ctx, d.read(), "SELECT "+documentColumns+" FROM document WHERE kind = ? AND deleted_us IS NULL ORDER BY name",
		[]any{string(kind)}, scanDocument)
	if err != nil {
		return nil, d.explain("listing the "+string(kind)+"s in", err)
	}
	return found, nil
}

func scanDocument(r scanner) (records.Document, error) {
	var one records.Document
	var atUS int64
	err := r.Scan(&one.Kind, &one.Name, &one.Version, &atUS, &one.Who, &one.Body)
	one.At = moment(atUS)
	return one, err
}

// first is the only row of a result; sql.ErrNoRows where there is none.
func first[T any](found []T, err error) (T, error) {
	if err == nil && len(found) == 0 {
		err = sql.ErrNoRows
	}
	if err != nil {
		var none T
		return none, err
	}
	return found[0], nil
}

func noDocument(kind records.Kind, name string) error {
	return fmt.Errorf("there is no %s %q: %w", kind, name, records.ErrNoDocument)
}

// KeepDocument implements records.Store.
func (d *database) KeepDocument(ctx context.Context, one records.Document) (records.Document, error) {
	doing := fmt.Sprintf("keeping the %s %q", one.Kind, one.Name)
	switch {
	case one.Kind == "" || one.Kind == records.TakeKind || one.Kind == records.UnitKind:
		return one, fmt.Errorf("%s: this is no kind of document", doing)
	case strings.TrimSpace(one.Name) == "":
		return one, fmt.Errorf("keeping a %s: it has no name; give it one", one.Kind)
	case !json.Valid(one.Body):
		return one, fmt.Errorf("%s: it is not JSON", doing)
	}
	if err := checkTexts(one.Name, string(one.Kind)); err != nil {
		return one, fmt.Errorf("%s: %w", doing, err)
	}
	kept := one
	kept.At, kept.Who = now(), who(ctx, "")
	err := d.write(ctx, doing+" in", len(one.Body), func(ctx context.Context, w *writing) error {
		return w.keepDocument(ctx, &kept)
	})
	if err != nil {
		return one, err
	}
	return kept, nil
}

// keepDocument writes a document in place of its version, and counts that on.
func (w *writing) keepDocument(ctx context.Context, one *records.Document) error {
	last, deleted, err := w.lastDocument(ctx, one.Kind, one.Name)
	if err != nil {
		return err
	}
	what, due := records.WasChanged, one.Version
	switch {
	case one.Version == 0 && last.Version > 0 && !deleted:
		return fmt.Errorf("the %s is there: %w; choose another name", one.Kind, records.ErrExists)
	case one.Version == 0:
		what, due = records.WasKept, last.Version
	case deleted || last.Version == 0:
		return noDocument(one.Kind, one.Name)
	}
	one.Version = due + 1
	if err := w.putDocument(ctx, *one, due, deleted); err != nil {
		return err
	}
	w.event(records.AboutDocument(one.Kind, one.Name), records.Event{At: one.At, Who: one.Who, What: what, Body: one.Body})
	return nil
}

// putDocument changes version due, 0 for none. It is one statement that finds out
// whether another program was faster.
func (w *writing) putDocument(ctx context.Context, one records.Document, due int, deleted bool) error {
	var n int
	var err error
	if due == 0 {
		n, err = w.exec(ctx, "INSERT INTO document ("+documentColumns+") VALUES ("+marks(6)+") ON CONFLICT DO NOTHING",
			string(one.Kind), one.Name, one.Version, one.At.UnixMicro(), one.Who, one.Body)
	} else {
		n, err = w.exec(ctx, "UPDATE document SET version = ?, at_us = ?, who = ?, body = ? WHERE kind = ? AND name = ? AND version = ?",
			one.Version, one.At.UnixMicro(), one.Who, one.Body, string(one.Kind), one.Name, due)
	}
	if err == nil && n > 0 && deleted {
		_, err = w.exec(ctx, "UPDATE document SET deleted_us = NULL WHERE kind = ? AND name = ?", string(one.Kind), one.Name)
	}
	if err != nil || n > 0 {
		return err
	}
	last, _, err := w.lastDocument(ctx, one.Kind, one.Name)
	if err != nil {
		return err
	}
	if due == 0 {
		return fmt.Errorf("the %s is there: %w; choose another name", one.Kind, records.ErrExists)
	}
	return changed(last.Who, last.At)
}

// changed says who was faster.
func changed(by string, at time.Time) error {
	return fmt.Errorf("%w: %s did, at %s", records.ErrChanged, orNone(by), at.Local().Format("15:04:05 on 2 Jan 2006"))
}

// lastDocument is what is kept under a name, deleted or not; Version 0: nothing.
func (s session) lastDocument(ctx context.Context, kind records.Kind, name string) (last records.Document, deleted bool, err error) {
	var atUS int64
	err = s.row(ctx, "SELECT version, at_us, who, deleted_us IS NOT NULL FROM document WHERE kind = ? AND name = ?",
		[]any{string(kind), name}, &last.Version, &atUS, &last.Who, &deleted)
	if absent(err) {
		return last, false, nil
	}
	last.At = moment(atUS)
	return last, deleted, err
}

// DeleteDocument implements records.Store.
func (d *database) DeleteDocument(ctx context.Context, kind records.Kind, name string) error {
	return d.markDocument(ctx, kind, name, records.WasDeleted, time.Now().UnixMicro(), "deleted_us IS NULL")
}

// RestoreDocument implements records.Store.
func (d *database) RestoreDocument(ctx context.Context, kind records.Kind, name string) error {
	return d.markDocument(ctx, kind, name, records.WasRestored, nil, "deleted_us IS NOT NULL")
}

func (d *database) markDocument(ctx context.Context, kind records.Kind, name string, what records.What, deletedUS any, where string) error {
	return d.write(ctx, fmt.Sprintf("%s the %s %q in", what, kind, name), 0, func(ctx context.Context, w *writing) error {
		n, err := w.exec(ctx, "UPDATE document SET deleted_us = ? WHERE "+where+" AND kind = ? AND name = ?",
			deletedUS, string(kind), name)
		if err != nil {
			return err
		}
		if n == 0 {
			return fmt.Errorf("%w to %s", records.ErrNoDocument, what)
		}
		w.event(records.AboutDocument(kind, name), records.Event{At: now(), Who: who(ctx, ""), What: what})
		return nil
	})
}
