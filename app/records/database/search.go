package database

import (
	"context"
	"database/sql"
	"strings"
	"time"

	"stillroom/app/records"
)

// findable is what a search finds a take by.
type findable struct {
	number                                  int64
	id                                      string
	unit                                    sql.NullInt64 // number of its unit
	model, serial, batch, note, person, rig string
	tags, notes                             []string
	at                                      time.Time
	deleted                                 bool
}

// indexTakes makes takes findable, also again after their notes or tags changed.
func (w *writing) indexTakes(ctx context.Context, ids []string) error {
	found, err := w.findables(ctx, ids)
	if err != nil {
		return err
	}
	return w.index(ctx, found)
}

// findables reads what takes are found by. Deleted ones are among them.
func (s session) findables(ctx context.Context, ids []string) ([]findable, error) {
	var all []findable
	err := chunked(ids, func(some []string) error {
		found, err := collect(ctx, s, `SELECT take.number, id, unit.number, take.model, take.serial, take.batch, take.note,
			person, rig, take.at_us, take.deleted_us IS NOT NULL FROM `+rowTables+` WHERE id IN (`+marks(len(some))+`)`, anys(some), scanFindable)
		all = append(all, found...)
		return err
	})
	if err != nil {
		return nil, err
	}
	tags, err := s.tagsOf(ctx, ids)
	if err != nil {
		return nil, err
	}
	notes, err := s.notesOf(ctx, ids)
	for i := range all {
		all[i].tags, all[i].notes = tags[all[i].id], notes[all[i].id]
	}
	return all, err
}

func scanFindable(r scanner) (findable, error) {
	var f findable
	var atUS int64
	err := r.Scan(&f.number, &f.id, &f.unit, &f.model, &f.serial, &f.batch, &f.note, &f.person, &f.rig, &atUS, &f.deleted)
	f.at = moment(atUS)
	return f, err
}

// notesOf returns the texts of the notes about takes.
func (s session) notesOf(ctx context.Context, ids []string) (map[string][]string, error) {
	notes := map[string][]string{}
	err := chunked(ids, func(some []string) error {
		_, err := collect(ctx, s, "SELECT subject, text FROM note WHERE kind = ? AND subject IN ("+marks(len(some))+") ORDER BY number",
			append([]any{string(records.TakeKind)}, anys(some)...), func(r scanner) (struct{}, error) {
				var id, text string
				err := r.Scan(&id, &text)
				notes[id] = append(notes[id], text)
				return struct{}{}, err
			})
		return err
	})
	return notes, err
}

// index writes what a search looks at.
func (w *writing) index(ctx context.Context, found []findable) error {
	var rows [][]any
	for _, f := range found {
		words := strings.Join(append([]string{f.model, f.serial, f.batch, f.note, f.person, strings.Join(f.tags, " ")}, f.notes...), " ")
		deleted := 0
		if f.deleted {
			deleted = 1
		}
		rows = append(rows, []any{f.number, f.unit, deleted, " " + strings.Join(strings.Fields(strings.ToLower(words)), " ")})
	}
	return w.insert(ctx, "find", "number, unit, deleted, words", rows,
		"ON CONFLICT (number) DO UPDATE SET unit = excluded.unit, deleted = excluded.deleted, words = excluded.words")
}

// unindex and reindex take takes out of what is found, and bring them back.
func (w *writing) unindex(ctx context.Context, ids []string) error { return w.setDeleted(ctx, ids, 1) }

func (w *writing) reindex(ctx context.Context, ids []string) error { return w.setDeleted(ctx, ids, 0) }

func (w *writing) setDeleted(ctx context.Context, ids []string, deleted int) error {
	return chunked(ids, func(some []string) error {
		_, err := w.exec(ctx, "UPDATE find SET deleted = ? WHERE number IN (SELECT number FROM take WHERE id IN ("+marks(len(some))+"))",
			append([]any{deleted}, anys(some)...)...)
		return err
	})
}
