package desk

import (
	"context"
	"errors"
)

// Reach sees that the rows first to last are held, and those near them, and lets go of
// those far away. Asked while pages are read already, it only says which rows are
// looked at now.
func (d *Desk) Reach(ctx context.Context, first, last int) error {
	d.mu.Lock()
	d.finder.first, d.finder.last = first, last
	busy := d.finder.reading
	d.finder.reading = true
	d.mu.Unlock()
	if busy {
		return nil
	}
	for {
		page, search, turn, found := d.wantedPage()
		if !found {
			return nil
		}
		if err := d.fetch(ctx, page, search, turn); err != nil {
			d.mu.Lock()
			d.finder.reading = false
			d.mu.Unlock()
			return d.failUnless(ctx, err)
		}
	}
}

// wantedPage is the page that is missing nearest to the rows that are looked at; where
// none is, reading has ended.
func (d *Desk) wantedPage() (page int, search Search, turn int, found bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	l := d.state.Listing
	first, last := d.finder.first, min(d.finder.last, l.Len()-1)
	if l.Asked != l.answered { // Answer is about to bring all anew
		last = -1
	}
	for _, p := range append(visiblePages(first, last), near(first, last)...) {
		if last >= 0 && l.pages[p] == nil && p*pageRows < l.Len() {
			return p, l.answered, d.finder.asked, true
		}
	}
	d.finder.reading = false
	return 0, Search{}, 0, false
}

func visiblePages(first, last int) []int {
	var pages []int
	for p := first / pageRows; p <= last/pageRows; p++ {
		pages = append(pages, p)
	}
	return pages
}

// errMoved ends a reading of pages that are not looked at any more.
var errMoved = errors.New("something else is asked for")

// fetch reads one page and puts it in place.
func (d *Desk) fetch(ctx context.Context, page int, search Search, turn int) error {
	d.finder.one.Lock()
	defer d.finder.one.Unlock()
	rows, err := d.readPage(ctx, search, page)
	if err != nil {
		return err
	}
	d.current(turn, func(s *State) {
		s.Listing.put(map[int][]Entry{page: rows}, d.finder.first, d.finder.last, false)
	})
	return nil
}

// Refresh reads the rows that are held once more, since something was changed. The
// place in the list and the selection stay.
func (d *Desk) Refresh(ctx context.Context) error {
	turn, search, whole, err := d.refreshPages(ctx)
	if errors.Is(err, errMoved) {
		return nil
	}
	if err != nil {
		return d.failUnless(ctx, err)
	}
	d.readChoices(ctx, turn)
	return d.count(ctx, turn, search, whole)
}

// refreshPages reads the pages near the rows that are looked at and puts them in place
// of all that are held. whole tells that the list was counted to its end before.
func (d *Desk) refreshPages(ctx context.Context) (turn int, search Search, whole bool, err error) {
	d.finder.one.Lock()
	defer d.finder.one.Unlock()
	d.mu.Lock()
	l := d.state.Listing
	turn, search = d.finder.asked, l.answered
	first, last := d.finder.first, d.finder.last
	whole = l.Counted && !l.Count.More && l.Count.Takes > countFirst
	late := l.Asked != l.answered
	d.mu.Unlock()
	if late { // Answer is about to bring all anew
		return turn, search, whole, errMoved
	}
	pages := map[int][]Entry{}
	for _, p := range near(first, last) {
		rows, err := d.readPage(ctx, search, p)
		if err != nil {
			return turn, search, whole, err
		}
		pages[p] = rows
		if len(rows) < pageRows {
			break
		}
	}
	d.current(turn, func(s *State) {
		s.Listing.known = 0
		s.Listing.put(pages, first, last, true)
	})
	return turn, search, whole, nil
}
