package database

import (
	"context"
	"errors"
	"fmt"

	"stillroom/app/records"
)

// Allot implements records.Store. The row of the counter is locked until the
// transaction ends, so no two programs read the same number.
func (d *database) Allot(ctx context.Context, counter string, first int) (int, error) {
	if counter == "" {
		return 0, errors.New("allotting a number: the counter has no name")
	}
	if err := checkTexts(counter); err != nil {
		return 0, fmt.Errorf("allotting a number: %w", err)
	}
	var next int
	err := d.write(ctx, "allotting a number in", 0, func(ctx context.Context, w *writing) error {
		return w.row(ctx, `INSERT INTO counter (name, next) VALUES (?, ?)
			ON CONFLICT (name) DO UPDATE SET next = counter.next + 1 RETURNING next`, []any{counter, first + 1}, &next)
	})
	return next - 1, err
}

// raise moves a counter on to next, never back.
func (w *writing) raise(ctx context.Context, c records.Counter) error {
	_, err := w.exec(ctx, `INSERT INTO counter (name, next) VALUES (?, ?)
		ON CONFLICT (name) DO UPDATE SET next = CASE WHEN excluded.next > counter.next THEN excluded.next ELSE counter.next END`,
		c.Name, c.Next)
	return err
}
