package database

import (
	"context"
	"errors"
	"fmt"

	"stillroom/app/records"
)

// Import implements records.Store.
func (d *database) Import(ctx context.Context, things ...records.Whole) error {
	var takes []records.Kept
	for _, one := range things {
		if one.Take != nil {
			takes = append(takes, one.Take.Kept)
		}
	}
	packed, size, err := d.packAll(takes)
	if err != nil {
		return err
	}
	for range keepTries {
		err = d.write(ctx, "importing into", size, func(ctx context.Context, w *writing) error {
			return w.importAll(ctx, d.engine, things, packed)
		})
		if !errors.Is(err, errFaster) {
			return err
		}
	}
	return err
}

// importAll writes things; packed are the takes among them, in their order.
func (w *writing) importAll(ctx context.Context, e engine, things []records.Whole, packed []packedTake) error {
	for _, one := range things { // units before takes: a take names its unit
		if err := w.importSmall(ctx, one); err != nil {
			return err
		}
	}
	if err := w.insertTakes(ctx, e, packed); err != nil {
		return err
	}
	for _, one := range things {
		if one.Take != nil {
			if err := w.importBeside(ctx, one); err != nil {
				return err
			}
		}
	}
	if err := w.indexTakes(ctx, ids(packed)); err != nil {
		return err
	}
	return w.importDeleted(ctx, things)
}

// importDeleted deletes what was deleted in the other store, at the time it was.
func (w *writing) importDeleted(ctx context.Context, things []records.Whole) error {
	var deleted []string
	for _, one := range things {
		if one.Take == nil || one.Take.DeletedAt.IsZero() {
			continue
		}
		id := one.Take.Take.ID
		if _, err := w.exec(ctx, "UPDATE take SET deleted_us = ? WHERE id = ?", one.Take.DeletedAt.UnixMicro(), id); err != nil {
			return err
		}
		deleted = append(deleted, id)
	}
	return w.indexTakes(ctx, deleted)
}

// importSmall writes what is no take.
func (w *writing) importSmall(ctx context.Context, one records.Whole) error {
	switch {
	case one.Counter != nil:
		return w.raise(ctx, *one.Counter)
	case one.Document != nil:
		return w.importDocument(ctx, one)
	case one.Unit != nil:
		made, err := w.insertUnit(ctx, *one.Unit)
		if err == nil && !made {
			err = fmt.Errorf("unit %s %s: %w", one.Unit.Model, one.Unit.Serial, records.ErrExists)
		}
		if err != nil {
			return err
		}
		return w.importStory(ctx, one)
	}
	return nil
}

func (w *writing) importDocument(ctx context.Context, one records.Whole) error {
	doc := one.Document
	var deleted any
	if !doc.DeletedAt.IsZero() {
		deleted = doc.DeletedAt.UnixMicro()
	}
	n, err := w.exec(ctx, "INSERT INTO document ("+documentColumns+", deleted_us) VALUES ("+marks(7)+") ON CONFLICT DO NOTHING",
		string(doc.Kind), doc.Name, doc.Version, doc.At.UnixMicro(), doc.Who, doc.Body, deleted)
	if err == nil && n == 0 {
		err = fmt.Errorf("the %s %q: %w", doc.Kind, doc.Name, records.ErrExists)
	}
	if err != nil {
		return err
	}
	return w.importStory(ctx, one)
}

// importBeside writes what belongs to a take beside its rows.
func (w *writing) importBeside(ctx context.Context, one records.Whole) error {
	id := one.Take.Take.ID
	var tags [][]any
	for _, tag := range one.Take.Tags {
		tags = append(tags, []any{id, tag})
	}
	if err := w.insert(ctx, "tag", "take_id, tag", tags, ""); err != nil {
		return err
	}
	return w.importStory(ctx, one)
}

// importStory writes notes and events as they were.
func (w *writing) importStory(ctx context.Context, one records.Whole) error {
	w.changes(one.Subject())
	for _, e := range one.Events {
		w.event(one.Subject(), e)
	}
	return w.insertNotes(ctx, one.Subject(), one.Notes)
}
