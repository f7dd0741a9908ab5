package spool

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"unicode"

	"stillroom/app/records"
)

// List implements records.Store: what waits comes first, newest first, then what the
// main store has. While that is away, what waits is all there is.
func (s *Store) List(ctx context.Context, q records.Query) ([]records.Row, error) {
	waiting := s.matching(q)
	page := waiting[min(q.Offset, len(waiting)):]
	if q.Limit > 0 && len(page) >= q.Limit {
		return page[:q.Limit], nil
	}
	rest := q
	rest.Offset = max(0, q.Offset-len(waiting))
	if q.Limit > 0 {
		rest.Limit = q.Limit - len(page)
	}
	rows, err := ask(s, func(main records.Store) ([]records.Row, error) { return main.List(ctx, rest) })
	if err != nil && !records.Unreachable(err) {
		return nil, err
	}
	return append(page, slices.DeleteFunc(rows, func(r records.Row) bool { return s.Waits(r.ID) })...), nil
}

// Count implements records.Store, likewise.
func (s *Store) Count(ctx context.Context, q records.Query, most int) (records.Counted, error) {
	c, err := ask(s, func(main records.Store) (records.Counted, error) { return main.Count(ctx, q, most) })
	if err != nil && !records.Unreachable(err) {
		return c, err
	}
	units := map[records.UnitID]bool{}
	for _, r := range s.matching(q) {
		c.Takes++
		if r.Subject.Serial != "" {
			units[records.UnitID{Model: r.Subject.Model, Serial: r.Subject.Serial}] = true
		}
	}
	if err != nil {
		c.Units = len(units)
	}
	return c, nil
}

// matching is what waits and is asked for, newest first.
func (s *Store) matching(q records.Query) []records.Row {
	s.mu.Lock()
	defer s.mu.Unlock()
	var rows []records.Row
	for _, p := range s.parcels {
		for _, r := range p.rows {
			if asked(r, q) {
				rows = append(rows, r)
			}
		}
	}
	slices.SortFunc(rows, func(a, b records.Row) int { return cmp.Or(b.At.Compare(a.At), cmp.Compare(b.ID, a.ID)) })
	return rows
}

// asked tells whether a query chooses a row.
func asked(r records.Row, q records.Query) bool {
	same := func(want, have string) bool { return want == "" || want == have }
	switch {
	case q.Deleted, !same(q.Model, r.Subject.Model), !same(string(q.Status), string(r.Status)), !same(q.Series, r.Series), !same(q.Rig, r.Rig):
		return false
	case q.Unit.Serial != "" && (q.Unit.Model != r.Subject.Model || q.Unit.Serial != r.Subject.Serial):
		return false
	case q.Tag != "" && !slices.Contains(r.Tags, q.Tag):
		return false
	case !q.Since.IsZero() && r.At.Before(q.Since), !q.Until.IsZero() && !r.At.Before(q.Until):
		return false
	}
	return holds(r, q.Search)
}

// holds tells whether each word of a search is the beginning of a word of the row.
func holds(r records.Row, search string) bool {
	s := r.Subject
	text := strings.ToLower(strings.Join([]string{s.Model, s.Serial, s.Batch, s.Note, r.Person, string(r.Status),
		strings.Join(r.Tags, " "), r.At.Local().Format("2006-01-02 2 January 2006")}, " "))
	for _, word := range strings.Fields(strings.ToLower(search)) {
		found := false
		for at := 0; !found; {
			i := strings.Index(text[at:], word)
			if i < 0 {
				return false
			}
			at += i
			found = at == 0 || !letter(rune(text[at-1]))
			at++
		}
	}
	return true
}

func letter(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }
