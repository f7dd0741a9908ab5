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

// indexTakes makes takes findable as they are now: when they are new, and after
// their notes or tags were changed, or they were deleted or restored.
func (s session) indexTakes(ctx context.Context, ids []string) error {
	found, err := s.findables(ctx, ids)
	if err != nil {
		return err
	}
	return s.index(ctx, found)
}

// indexMissing makes the takes findable that a schema without these tables kept.
func (s session) indexMissing(ctx context.Context) error {
	const some = 500
	for {
		ids, err := collect(ctx, s, `SELECT id FROM take
			WHERE NOT EXISTS (SELECT 1 FROM find WHERE find.number = take.number) LIMIT ?`, []any{some}, text)
		if err != nil || len(ids) == 0 {
			return err
		}
		if err := s.indexTakes(ctx, ids); err != nil {
			return err
		}
	}
}

// findables reads what takes are found by.
func (s session) findables(ctx context.Context, ids []string) ([]findable, error) {
	var all []findable
	err := chunked(ids, func(some []string) error {
		found, err := collect(ctx, s, `SELECT take.number, id, unit.number, take.model, take.serial, take.batch, take.note,
			person, rig, take.at_us, deleted_us IS NOT NULL FROM `+rowTables+` WHERE id IN (`+marks(len(some))+`)`,
			anys(some), scanFindable)
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

// between parts the words in find.words: before the first and after each.
const between = "\n"

// index writes what a search looks at: a row of find, and a row of word for each
// word. Those of a deleted take begin with its mark.
func (s session) index(ctx context.Context, found []findable) error {
	before, err := s.indexed(ctx, found)
	if err != nil {
		return err
	}
	var rows, fresh [][]any
	for _, f := range found {
		list := wordsOf(f)
		for word := range rowsOf(list, f.deleted) {
			if !before[f.number][word] {
				fresh = append(fresh, []any{word, f.number})
			}
			delete(before[f.number], word)
		}
		rows = append(rows, []any{f.number, f.unit, number(f.deleted), between + strings.Join(list, between) + between})
	}
	if err := s.dropWords(ctx, before); err != nil {
		return err
	}
	if err := s.insert(ctx, "word", "word, number", fresh, "ON CONFLICT DO NOTHING"); err != nil {
		return err
	}
	return s.insert(ctx, "find", "number, unit, deleted, words", rows,
		"ON CONFLICT (number) DO UPDATE SET unit = excluded.unit, deleted = excluded.deleted, words = excluded.words")
}

// indexed returns the rows of word that takes have, by their numbers.
func (s session) indexed(ctx context.Context, found []findable) (map[int64]words, error) {
	numbers := make([]int64, len(found))
	for i, f := range found {
		numbers[i] = f.number
	}
	before := map[int64]words{}
	err := chunked(numbers, func(some []int64) error {
		_, err := collect(ctx, s, "SELECT number, deleted, words FROM find WHERE number IN ("+marks(len(some))+")",
			anys(some), func(r scanner) (struct{}, error) {
				var n int64
				var deleted int
				var list string
				err := r.Scan(&n, &deleted, &list)
				before[n] = rowsOf(strings.Split(strings.Trim(list, between), between), deleted != 0)
				return struct{}{}, err
			})
		return err
	})
	return before, err
}

func (s session) dropWords(ctx context.Context, gone map[int64]words) error {
	for number, list := range gone {
		for word := range list {
			if _, err := s.exec(ctx, "DELETE FROM word WHERE word = ? AND number = ?", word, number); err != nil {
				return err
			}
		}
	}
	return nil
}

// deletedMark begins each word of a deleted take. No other word begins with it.
const deletedMark = "~"

// rowsOf are the rows of word that a take of these words has.
func rowsOf(list []string, deleted bool) words {
	all := withBeginnings(list)
	if !deleted {
		return all
	}
	marked := words{}
	for word := range all {
		marked[deletedMark+word] = true
	}
	return marked
}

// number is how find holds a truth.
func number(truth bool) int {
	if truth {
		return 1
	}
	return 0
}
