package desk

import (
	"context"
	"fmt"
	"slices"
)

// mostSelected is how many takes are selected at once.
const mostSelected = 1000

// GoTo looks at a row, and ends a range.
func (d *Desk) GoTo(row int) {
	d.change(RecordsTopic, func(s *State) {
		l := &s.Listing
		l.look(row)
		l.anchor, l.anchorID = -1, ""
	})
}

// look moves the row that is looked at.
func (l *Listing) look(row int) {
	l.At = max(min(row, l.Len()-1), 0)
	l.Chosen = Entry{}
	l.settle()
}

// Toggle selects a row, or no longer, and looks at it. A range may begin there.
func (d *Desk) Toggle(row int) {
	d.change(RecordsTopic, func(s *State) {
		l := &s.Listing
		e, ok := l.Row(row)
		if !ok {
			return
		}
		l.look(row)
		l.anchor, l.anchorID = row, e.ID
		if i := slices.Index(l.Selected, e.ID); i >= 0 {
			l.Selected = slices.Delete(slices.Clone(l.Selected), i, i+1)
		} else {
			l.Selected = union(l.Selected, []string{e.ID})
		}
		l.base = l.Selected
	})
}

// SelectTo selects the rows from where the range began to the given one, beside what
// was selected before the range, and looks at it. Rows that are not held are read.
func (d *Desk) SelectTo(ctx context.Context, row int) error {
	var search Search
	var first, last, turn int
	d.change(RecordsTopic, func(s *State) {
		l := &s.Listing
		if l.anchor < 0 {
			l.anchor, l.anchorID, l.base = max(l.At, 0), l.Chosen.ID, l.Selected
		}
		l.look(row)
		first, last = min(l.anchor, l.At), max(l.anchor, l.At)
		search, turn = l.answered, l.Turn
	})
	ids, err := d.idsOf(ctx, search, first, last-first+1)
	if err != nil {
		return d.failUnless(ctx, err)
	}
	d.change(RecordsTopic, func(s *State) {
		if l := &s.Listing; l.Turn == turn && min(l.anchor, l.At) == first && max(l.anchor, l.At) == last {
			l.Selected = union(l.base, ids)
		}
	})
	return d.sayLimit(last - first + 1)
}

// HoldsRange tells whether SelectTo of a row has nothing to read.
func (l Listing) HoldsRange(row int) bool {
	from := l.anchor
	if from < 0 {
		from = l.At
	}
	return l.Holds(min(from, row), max(from, row))
}

// SelectAll selects all that the search finds, also what is not shown, as far as so
// much is selected at once.
func (d *Desk) SelectAll(ctx context.Context) error {
	l := d.State().Listing
	ids, err := d.idsOf(ctx, l.answered, 0, mostSelected+1)
	if err != nil {
		return d.failUnless(ctx, err)
	}
	d.change(RecordsTopic, func(s *State) {
		if s.Listing.Turn == l.Turn {
			s.Listing.Selected = union(nil, ids)
			s.Listing.anchor, s.Listing.anchorID = -1, ""
		}
	})
	return d.sayLimit(len(ids))
}

// sayLimit tells where more was asked for than is selected at once.
func (d *Desk) sayLimit(n int) error {
	if n > mostSelected {
		d.say(fmt.Sprintf("%s takes are selected: no more at once. Narrow the search to reach the others, or do them in turn.", grouped(mostSelected)))
	}
	return nil
}

// SelectNothing ends the selection; false where nothing was selected.
func (d *Desk) SelectNothing() bool {
	was := len(d.State().Listing.Selected) > 0
	if was {
		d.deselect(nil)
	}
	return was
}

// deselect takes takes out of the selection; nil: all of them.
func (d *Desk) deselect(ids []string) {
	d.change(RecordsTopic, func(s *State) {
		l := &s.Listing
		l.anchor, l.anchorID, l.base = -1, "", nil
		if ids == nil {
			l.Selected = nil
			return
		}
		l.Selected = slices.DeleteFunc(slices.Clone(l.Selected), func(id string) bool { return slices.Contains(ids, id) })
	})
}

// idsOf are the takes of count rows from first on, from what is held or from the records.
func (d *Desk) idsOf(ctx context.Context, search Search, first, count int) ([]string, error) {
	if l := d.State().Listing; l.answered == search && l.Holds(first, first+count-1) {
		return l.ids(first, count), nil
	}
	q := search.query(d.now())
	q.Offset, q.Limit = first, min(count, mostSelected+1)
	rows, err := d.parts.Records.List(ctx, q)
	if err != nil {
		return nil, err
	}
	ids := make([]string, len(rows))
	for i, r := range rows {
		ids[i] = r.ID
	}
	return ids, nil
}

// ids are the takes of rows that are held.
func (l Listing) ids(first, count int) []string {
	var ids []string
	for i := first; i < first+count; i++ {
		e, ok := l.Row(i)
		if !ok {
			return ids
		}
		ids = append(ids, e.ID)
	}
	return ids
}

// union adds what is not there, up to mostSelected.
func union(ids, more []string) []string {
	seen := make(map[string]bool, len(ids)+len(more))
	var all []string
	for _, id := range slices.Concat(ids, more) {
		if !seen[id] && len(all) < mostSelected {
			seen[id] = true
			all = append(all, id)
		}
	}
	return all
}
