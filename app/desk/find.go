package desk

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"time"

	"stillroom/app/records"
)

// finder is what reads the records for the list. Its fields are under the lock of the
// desk, but one.
type finder struct {
	asked   int                // counts what was asked for
	cancel  context.CancelFunc // ends the search that is under way
	reading bool               // pages are being read
	first   int                // the rows that are looked at
	last    int

	detail context.CancelFunc // ends the reading of details that is under way

	one sync.Mutex // held while pages are read and put in place
}

// countFirst is how many takes are counted before the count is told; a longer list is
// counted to its end after that.
const countFirst = 10_000

// slowAfter is how long a search takes before the reader is told to wait.
const slowAfter = 400 * time.Millisecond

// Search lists what holds all words of a text, within the filters as they are.
func (d *Desk) Search(ctx context.Context, text string) error {
	d.Ask(func(s *Search) { s.Text = text })
	return d.Answer(ctx)
}

// Ask changes what the list is searched for, and ends a search that is under way. It
// does not wait; Answer brings the rows.
func (d *Desk) Ask(alter func(*Search)) {
	d.mu.Lock()
	if d.finder.cancel != nil {
		d.finder.cancel()
	}
	d.finder.asked++
	d.mu.Unlock()
	d.change(RecordsTopic, func(s *State) {
		before := s.Listing.Asked.Deleted
		alter(&s.Listing.Asked)
		if s.Listing.Asked.Deleted != before { // what can be done with them differs
			s.Listing.Selected, s.Listing.anchor, s.Listing.base = nil, -1, nil
		}
	})
}

// AskDays changes the span to that of a form. Where a line cannot be used nothing is
// changed and the lines are returned.
func (d *Desk) AskDays(f DaysForm) []Field {
	search := d.State().Listing.Asked
	wrong := f.read(&search)
	if len(wrong) == 0 {
		d.Ask(func(s *Search) { s.Span, s.From, s.To = search.Span, search.From, search.To })
	}
	return wrong
}

// Answer reads the first rows of what was asked for last, then counts. Where something
// else is asked for meanwhile it ends without an error.
func (d *Desk) Answer(ctx context.Context) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	d.mu.Lock()
	if d.finder.cancel != nil {
		d.finder.cancel()
	}
	turn, search := d.finder.asked, d.state.Listing.Asked
	d.finder.cancel, d.finder.first, d.finder.last = cancel, 0, 0
	d.mu.Unlock()
	slow := time.AfterFunc(slowAfter, func() { d.slow(turn) })
	rows, err := d.readPage(ctx, search, 0)
	slow.Stop()
	if err != nil {
		d.current(turn, func(s *State) { s.Listing.Slow, s.Listing.Lost = false, ctx.Err() == nil })
		return d.failUnless(ctx, err)
	}
	d.current(turn, func(s *State) {
		l := &s.Listing
		l.Turn, l.Slow, l.Lost, l.answered = l.Turn+1, false, false, search
		l.Counted, l.Count, l.known = false, records.Counted{}, 0
		l.At, l.Chosen, l.anchor, l.anchorID, l.base = 0, Entry{}, -1, "", nil
		l.put(map[int][]Entry{0: rows}, 0, 0, true)
	})
	d.readChoices(ctx, turn)
	return d.count(ctx, turn, search, false)
}

// failUnless shows an error, unless the work was ended on purpose.
func (d *Desk) failUnless(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return nil
	}
	return d.fail(fmt.Errorf("the records cannot be read: %w", err))
}

// current changes the state, unless something else has been asked for by now.
func (d *Desk) current(turn int, alter func(*State)) {
	d.change(RecordsTopic, func(s *State) {
		if d.finder.asked == turn {
			alter(s)
		}
	})
}

// slow tells that a search takes its time.
func (d *Desk) slow(turn int) { d.current(turn, func(s *State) { s.Listing.Slow = true }) }

// readPage reads one page of a search.
func (d *Desk) readPage(ctx context.Context, search Search, page int) ([]Entry, error) {
	q := search.query(d.now())
	q.Limit, q.Offset = pageRows, page*pageRows
	rows, err := d.parts.Records.List(ctx, q)
	if err != nil {
		return nil, err
	}
	list := make([]Entry, len(rows))
	for i, r := range rows {
		list[i] = entry(r)
	}
	return list, nil
}

// count counts what a search finds: first as far as that is quick, unless whole, then
// to the end. Where a long list cannot be counted to its end the first count stays.
func (d *Desk) count(ctx context.Context, turn int, search Search, whole bool) error {
	if !whole {
		c, err := d.parts.Records.Count(ctx, search.query(d.now()), countFirst)
		if err != nil {
			return d.failUnless(ctx, err)
		}
		d.counted(turn, c)
		if !c.More {
			return nil
		}
	}
	c, err := d.parts.Records.Count(ctx, search.query(d.now()), 0)
	if err == nil {
		d.counted(turn, c)
	}
	return nil
}

func (d *Desk) counted(turn int, c records.Counted) {
	d.current(turn, func(s *State) {
		l := &s.Listing
		l.Counted, l.Count = true, c
		if !c.More {
			l.known = min(l.known, c.Takes)
		}
		l.settle()
	})
}

// readChoices reads what the filters can be set to. An error leaves them as they are:
// the list does not need them.
func (d *Desk) readChoices(ctx context.Context, turn int) {
	documents, err := d.parts.Records.Documents(ctx, records.ModelKind)
	if err != nil {
		return
	}
	tags, err := d.parts.Records.Tags(ctx)
	if err != nil {
		return
	}
	d.current(turn, func(s *State) {
		models := slices.Clone(s.Listing.seen)
		for _, one := range documents {
			models = append(models, one.Name)
		}
		slices.Sort(models)
		s.Listing.models, s.Listing.tags = slices.Compact(models), tags
	})
}
