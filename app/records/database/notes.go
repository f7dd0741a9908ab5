package database

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"stillroom/app/records"
)

// AddNote implements records.Store.
func (d *database) AddNote(ctx context.Context, about records.Subject, text string) error {
	if strings.TrimSpace(text) == "" {
		return errors.New("adding a note: it is empty; write something")
	}
	if err := checkTexts(text, about.ID, string(about.Kind)); err != nil {
		return fmt.Errorf("adding a note: %w", err)
	}
	return d.write(ctx, "adding a note in", len(text), func(ctx context.Context, w *writing) error {
		if err := w.needSubject(ctx, about); err != nil {
			return err
		}
		w.changes(about)
		err := w.insertNotes(ctx, about, []records.NoteEntry{{At: now(), Who: who(ctx, ""), Text: text}})
		if err != nil || about.Kind != records.TakeKind {
			return err
		}
		return w.indexTakes(ctx, []string{about.ID})
	})
}

func (w *writing) insertNotes(ctx context.Context, about records.Subject, notes []records.NoteEntry) error {
	var rows [][]any
	for _, n := range notes {
		rows = append(rows, []any{string(about.Kind), about.ID, n.At.UnixMicro(), n.Who, n.Text})
	}
	return w.insert(ctx, "note", "kind, subject, at_us, who, text", rows, "")
}

// needSubject fails where there is no such take, unit or document.
func (s session) needSubject(ctx context.Context, about records.Subject) error {
	query, args, missing := "SELECT 1 FROM document WHERE kind = ? AND name = ? AND deleted_us IS NULL",
		[]any{string(about.Kind), about.ID}, records.ErrNoDocument
	switch about.Kind {
	case records.TakeKind:
		query, args, missing = "SELECT 1 FROM take WHERE id = ? AND deleted_us IS NULL", []any{about.ID}, records.ErrNoTake
	case records.UnitKind:
		id, _ := about.UnitOf()
		query, args, missing = "SELECT 1 FROM unit WHERE model = ? AND serial = ?", []any{id.Model, id.Serial}, records.ErrNoUnit
	}
	var one int
	if err := s.row(ctx, query, args, &one); !absent(err) {
		return err
	}
	return fmt.Errorf("%w: the %s %q", missing, about.Kind, about.ID)
}

// Notes implements records.Store.
func (d *database) Notes(ctx context.Context, about records.Subject) ([]records.NoteEntry, error) {
	ctx, cancel := d.engine.within(ctx, 0)
	defer cancel()
	notes, err := d.read().notes(ctx, about)
	if err != nil {
		return nil, d.explain("reading the notes in", err)
	}
	return notes, nil
}

func (s session) notes(ctx context.Context, about records.Subject) ([]records.NoteEntry, error) {
	return collect(ctx, s, "SELECT at_us, who, text FROM note WHERE kind = ? AND subject = ? ORDER BY number",
		[]any{string(about.Kind), about.ID}, func(r scanner) (records.NoteEntry, error) {
			var n records.NoteEntry
			var atUS int64
			err := r.Scan(&atUS, &n.Who, &n.Text)
			n.At = moment(atUS)
			return n, err
		})
}
