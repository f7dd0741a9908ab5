package database

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"stillroom/app/records"
)

// Tag implements records.Store.
func (d *database) Tag(ctx context.Context, ids []string, add, remove []string) error {
	ids, add, remove = sorted(ids), sorted(add), sorted(remove)
	for _, tag := range add {
		if strings.TrimSpace(tag) == "" {
			return errors.New("tagging takes: the tag is empty; give it a word")
		}
	}
	if err := checkTexts(add...); err != nil {
		return fmt.Errorf("tagging takes: %w", err)
	}
	return d.write(ctx, naming("tagging", ids), 0, func(ctx context.Context, w *writing) error {
		if err := w.needTakes(ctx, ids); err != nil {
			return err
		}
		var rows [][]any
		for _, id := range ids {
			for _, tag := range add {
				rows = append(rows, []any{id, tag})
			}
		}
		if err := w.insert(ctx, "tag", "take_id, tag", rows, "ON CONFLICT DO NOTHING"); err != nil {
			return err
		}
		if err := w.untag(ctx, ids, remove); err != nil {
			return err
		}
		w.eventForAll(ctx, ids, records.WasTagged, tagText(add, remove))
		return w.indexTakes(ctx, ids)
	})
}

// needTakes fails where one of the takes is not there.
func (w *writing) needTakes(ctx context.Context, ids []string) error {
	return chunked(ids, func(some []string) error {
		var n int
		err := w.row(ctx, "SELECT count(*) FROM take WHERE deleted_us IS NULL AND id IN ("+marks(len(some))+")", anys(some), &n)
		if err == nil && n != len(some) {
			err = fmt.Errorf("%w: %d of %d are not there", records.ErrNoTake, len(some)-n, len(some))
		}
		return err
	})
}

func (w *writing) untag(ctx context.Context, ids, tags []string) error {
	for _, tag := range tags {
		err := chunked(ids, func(some []string) error {
			_, err := w.exec(ctx, "DELETE FROM tag WHERE tag = ? AND take_id IN ("+marks(len(some))+")",
				append([]any{tag}, anys(some)...)...)
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// tagText says what was done: "+ sent, − held".
func tagText(add, remove []string) string {
	var parts []string
	for _, tag := range add {
		parts = append(parts, "+ "+tag)
	}
	for _, tag := range remove {
		parts = append(parts, "− "+tag)
	}
	return strings.Join(parts, ", ")
}

// Tags implements records.Store.
func (d *database) Tags(ctx context.Context) ([]string, error) {
	ctx, cancel := d.engine.within(ctx, 0)
	defer cancel()
	tags, err := collect(ctx, d.read(), `SELECT DISTINCT tag FROM tag JOIN take ON id = take_id
		WHERE deleted_us IS NULL ORDER BY tag`, nil, text)
	if err != nil {
		return nil, d.explain("listing the tags in", err)
	}
	return tags, nil
}

// text reads a row of one text.
func text(r scanner) (string, error) {
	var t string
	err := r.Scan(&t)
	return t, err
}

// tagsOf returns the tags of takes, by name.
func (s session) tagsOf(ctx context.Context, ids []string) (map[string][]string, error) {
	tags := map[string][]string{}
	err := chunked(ids, func(some []string) error {
		_, err := collect(ctx, s, "SELECT take_id, tag FROM tag WHERE take_id IN ("+marks(len(some))+") ORDER BY take_id, tag",
			anys(some), func(r scanner) (struct{}, error) {
				var id, tag string
				err := r.Scan(&id, &tag)
				tags[id] = append(tags[id], tag)
				return struct{}{}, err
			})
		return err
	})
	return tags, err
}
