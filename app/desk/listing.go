package desk

import (
	"maps"
	"slices"

	"stillroom/app/records"
)

// Listing is what is shown of the records: a list that may be far longer than what is
// held of it. It holds pages of it near the place that is looked at, asked for with
// Reach, so that its size does not grow with the records.
type Listing struct {
	Asked Search // what was asked for last; the rows may still be those of an older one
	Turn  int    // counts the searches that were answered: another one begins at the top
	Slow  bool   // the answer takes longer than people wait without a word
	Lost  bool   // there was no answer: the rows are those of an older search

	Counted bool
	Count   records.Counted

	At       int      // the row that is looked at, -1: none
	Chosen   Entry    // what stands there; its ID is empty while it is not held
	Selected []string // IDs, in the order they were selected

	answered Search          // whose rows these are
	known    int             // so many rows there are at least
	pages    map[int][]Entry // by number; never changed, only replaced

	models, tags []string // to choose from
	seen         []string // models of the rows seen so far

	anchor   int      // the row from which a range is selected; -1: none
	anchorID string   // its take
	base     []string // what was selected beside the range
}

// pageRows is how many rows are read at once.
const pageRows = 100

// heldPages is how many pages are held before and after those that are looked at.
const heldPages = 2

// Len is how many rows the list has, as far as that is known.
func (l Listing) Len() int {
	if l.Counted {
		return max(l.known, l.Count.Takes)
	}
	return l.known
}

// Row returns a row, counted from 0; false while it is not held.
func (l Listing) Row(i int) (Entry, bool) {
	if i < 0 {
		return Entry{}, false
	}
	page := l.pages[i/pageRows]
	if i%pageRows >= len(page) {
		return Entry{}, false
	}
	return page[i%pageRows], true
}

// Held returns the rows from the top on, as far as they are held without a gap.
func (l Listing) Held() []Entry {
	var rows []Entry
	for p := 0; len(l.pages[p]) > 0; p++ {
		rows = append(rows, l.pages[p]...)
	}
	return rows
}

// Holds tells whether all rows from first to last are held, as far as the list goes.
func (l Listing) Holds(first, last int) bool {
	for p := max(first, 0) / pageRows; p <= min(last, l.Len()-1)/pageRows; p++ {
		if l.pages[p] == nil {
			return false
		}
	}
	return true
}

// IsSelected tells whether a take is selected.
func (l Listing) IsSelected(id string) bool { return slices.Contains(l.Selected, id) }

// Targets are the takes that an action is for: the selected ones, else the one that is
// looked at.
func (l Listing) Targets() []string {
	if len(l.Selected) > 0 || l.Chosen.ID == "" {
		return l.Selected
	}
	return []string{l.Chosen.ID}
}

// find returns the row of a take among those held, -1 where it is not there. Rows near
// the given one are looked at first.
func (l Listing) find(id string, near int) int {
	if e, ok := l.Row(near); ok && e.ID == id {
		return near
	}
	for p, page := range l.pages {
		if i := slices.IndexFunc(page, func(e Entry) bool { return e.ID == id }); i >= 0 {
			return p*pageRows + i
		}
	}
	return -1
}

// RowOf is the row of a take, where it is held; -1 otherwise.
func (l Listing) RowOf(id string) int { return l.find(id, -1) }

// put holds pages and lets go of those far from the rows first to last. With anew all
// others are let go, since they are older.
func (l *Listing) put(read map[int][]Entry, first, last int, anew bool) {
	held := map[int][]Entry{}
	if !anew {
		maps.Copy(held, l.pages)
	}
	for p, rows := range read {
		held[p] = rows
		l.learn(p, rows)
	}
	maps.DeleteFunc(held, func(p int, _ []Entry) bool {
		return p < first/pageRows-heldPages || p > last/pageRows+heldPages
	})
	l.pages = held
	l.settle()
}

// learn takes over what a page tells of the length of the list, and of the models.
func (l *Listing) learn(p int, rows []Entry) {
	l.known = max(l.known, p*pageRows+len(rows))
	if len(rows) < pageRows && (len(rows) > 0 || p == 0) { // the list ends here
		l.known = p*pageRows + len(rows)
		l.Count.Takes = min(l.Count.Takes, l.known)
	}
	for _, e := range rows {
		if m := e.Row.Subject.Model; m != "" && !slices.Contains(l.seen, m) {
			l.seen = append(slices.Clone(l.seen), m)
		}
	}
}

// settle keeps the row that is looked at on its take, and the start of a range on its
// own, after other rows came. Where the take is gone, the row in its place is taken.
func (l *Listing) settle() {
	if l.Chosen.ID != "" {
		if i := l.find(l.Chosen.ID, l.At); i >= 0 {
			l.At = i
		} else if l.At >= 0 && l.pages[l.At/pageRows] != nil {
			l.Chosen = Entry{}
		}
	}
	l.At = max(min(l.At, l.Len()-1), 0)
	if e, ok := l.Row(l.At); ok {
		l.Chosen = e
	}
	if l.Len() == 0 {
		l.At, l.Chosen = -1, Entry{}
	}
	if i := l.find(l.anchorID, l.anchor); l.anchorID != "" && i >= 0 {
		l.anchor = i
	}
}

// near are the numbers of the pages to hold for the rows first to last.
func near(first, last int) []int {
	var pages []int
	for p := max(first/pageRows-1, 0); p <= last/pageRows+1; p++ {
		pages = append(pages, p)
	}
	return pages
}
