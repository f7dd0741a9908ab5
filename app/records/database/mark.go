package database

import (
	"context"
	"crypto/sha256"
	"fmt"
	"slices"
	"time"

	"stillroom/app/records"
	"stillroom/app/take"
)

// Delete implements records.Store.
func (d *database) Delete(ctx context.Context, ids ...string) error {
	return d.mark(ctx, ids, records.WasDeleted, time.Now().UnixMicro(), "deleted_us IS NULL")
}

// Restore implements records.Store.
func (d *database) Restore(ctx context.Context, ids ...string) error {
	return d.mark(ctx, ids, records.WasRestored, nil, "deleted_us IS NOT NULL")
}

// mark sets the time of deletion of all takes, or of none. The takes are locked in
// one order, so that two programs do not wait for each other.
func (d *database) mark(ctx context.Context, ids []string, what records.What, deletedUS any, where string) error {
	ids = sorted(ids)
	return d.write(ctx, naming(string(what), ids), 0, func(ctx context.Context, w *writing) error {
		err := chunked(ids, func(some []string) error {
			n, err := w.exec(ctx, "UPDATE take SET deleted_us = ? WHERE "+where+" AND id IN ("+marks(len(some))+")",
				append([]any{deletedUS}, anys(some)...)...)
			if err == nil && n != len(some) {
				err = fmt.Errorf("%w to %s", records.ErrNoTake, what)
			}
			return err
		})
		if err != nil {
			return err
		}
		w.eventForAll(ctx, ids, what, "")
		return w.indexTakes(ctx, ids)
	})
}

// eventForAll notes one thing that was done with several takes.
func (w *writing) eventForAll(ctx context.Context, ids []string, what records.What, detail string) {
	e := records.Event{At: now(), Who: who(ctx, ""), What: what, Detail: detail}
	for _, id := range ids {
		w.event(records.AboutTake(id), e)
	}
}

// Shed implements records.Store.
func (d *database) Shed(ctx context.Context, t *take.Take) error {
	if len(t.Capture.Channels) > 0 || t.Impulses == nil {
		return fmt.Errorf("shedding the recording of take %s: the take given in its place has a recording, or no impulse responses", t.ID)
	}
	document, err := d.packer.packTake(t)
	if err != nil {
		return fmt.Errorf("shedding the recording of take %s: %w", t.ID, err)
	}
	sum := sha256.Sum256(document)
	return d.write(ctx, "shedding the recording of take "+t.ID+" in", len(document), func(ctx context.Context, w *writing) error {
		n, err := w.exec(ctx, "UPDATE take SET bytes = 0 WHERE id = ? AND deleted_us IS NULL AND bytes > 0", t.ID)
		if err == nil && n == 0 {
			err = fmt.Errorf("%w with a recording", records.ErrNoTake)
		}
		if err != nil {
			return err
		}
		if _, err := w.exec(ctx, "UPDATE take_document SET sha256 = ?, body = ? WHERE take_id = ?", sum[:], document, t.ID); err != nil {
			return err
		}
		if _, err := w.exec(ctx, "DELETE FROM recording WHERE take_id = ?", t.ID); err != nil {
			return err
		}
		w.eventForAll(ctx, []string{t.ID}, records.WasShed, "the recording went, its impulse responses stay")
		return nil
	})
}

// sorted is a list without repetitions, in order.
func sorted(list []string) []string {
	list = slices.Clone(list)
	slices.Sort(list)
	return slices.Compact(list)
}

// naming says what is done with takes, for an error.
func naming(what string, ids []string) string {
	if len(ids) == 1 {
		return what + " take " + ids[0] + " in"
	}
	return fmt.Sprintf("%s %d takes in", what, len(ids))
}
