package desk

import (
	"fmt"
	"slices"
	"sync"

	"stillroom/app/take"
)

// A series holds so many seatings a side at most, and usually so many of a
// headphone (common practice).
const (
	mostSeatings  = 10
	usualSeatings = 5
)

// Series is a headphone seated several times, or another unit put in its place
// several times: its seatings and what they say together. The zero value is none.
type Series struct {
	ID    string
	Of    int         // seatings meant for each side
	Sides []take.Side // one or two, in the order in which they are measured
	Seats []Seat      // all that are meant, side by side
	Shown int         // the one whose take is in hand

	Means    []SideMean // of each side on which a seating counts
	Compared *take.Sides
	Refused  string // why there is no mean; "" where there is one, or nothing yet
}

// Seat is one seating that is meant or was measured.
type Seat struct {
	Side     take.Side
	Number   int            // on its side, from 1
	Take     *take.Take     // nil: not measured yet
	Analysis *take.Analysis // of the settings in use
	LeftOut  bool           // measured, and not part of the mean

	reader *reading
}

// SideMean is what the seatings of one side say together.
type SideMean struct {
	Side take.Side
	take.Group
}

// newSeries is a series with nothing measured yet.
func newSeries(id string, of int, sides []take.Side) Series {
	s := Series{ID: id, Of: of, Sides: sides, Shown: -1}
	for _, side := range sides {
		for n := range of {
			s.Seats = append(s.Seats, Seat{Side: side, Number: n + 1})
		}
	}
	return s
}

// SeriesOf is a series of takes that are analysed already, all of one series. The
// last is shown.
func SeriesOf(takes []*take.Take, all []*take.Analysis) Series {
	s := Series{ID: takes[0].Series.ID, Of: takes[0].Series.Of, Shown: len(takes) - 1}
	for i, t := range takes {
		s.Seats = append(s.Seats, Seat{Side: t.Subject.Side, Number: t.Series.Number, Take: t, Analysis: all[i], LeftOut: t.Series.LeftOut})
		if !slices.Contains(s.Sides, t.Subject.Side) {
			s.Sides = append(s.Sides, t.Subject.Side)
		}
	}
	s.together()
	return s
}

// On tells whether there is a series.
func (s Series) On() bool { return s.Of > 0 }

// Counts tells whether a seat is part of the mean.
func (s Seat) Counts() bool { return s.Take != nil && !s.LeftOut }

// Measured is how many seats are measured, those left out among them.
func (s Series) Measured() int {
	return len(s.Seats) - s.count(func(x Seat) bool { return x.Take == nil })
}

// Counted is how many seats are part of the mean.
func (s Series) Counted() int { return s.count(Seat.Counts) }

func (s Series) count(is func(Seat) bool) int {
	n := 0
	for _, x := range s.Seats {
		if is(x) {
			n++
		}
	}
	return n
}

// Next is the seat that is measured next: the first that is empty, or else the first
// that was left out; -1 where all count.
func (s Series) Next() int {
	if i := slices.IndexFunc(s.Seats, func(x Seat) bool { return x.Take == nil }); i >= 0 {
		return i
	}
	return slices.IndexFunc(s.Seats, func(x Seat) bool { return x.LeftOut })
}

// with is the series with one seat in place of another of the same index, which is
// shown from then on.
func (s Series) with(i int, x Seat) Series {
	s.Seats = slices.Clone(s.Seats)
	s.Seats[i], s.Shown = x, i
	return s
}

// reading is the study of one seating. It remembers its last analysis, so that a
// seating is not read again because another one came.
type reading struct {
	study Study

	mu   sync.Mutex
	set  take.Settings
	last *take.Analysis
}

func (r *reading) Analyse(set take.Settings) (*take.Analysis, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.last != nil && r.set == set {
		return r.last, nil
	}
	a, err := r.study.Analyse(set)
	if err == nil {
		r.set, r.last = set, a
	}
	return a, err
}

// seriesStudy reads all seatings of a series with the same settings.
type seriesStudy struct{ read Series }

// Analyse returns the analysis of the seating that is shown, and leaves those of all
// and what they say together in read. Harmonics are looked for in the one that is
// shown only.
func (s *seriesStudy) Analyse(set take.Settings) (*take.Analysis, error) {
	next := s.read
	next.Seats = slices.Clone(next.Seats)
	var places []int
	for i, x := range next.Seats {
		if x.Take != nil {
			places = append(places, i)
		}
	}
	all, err := take.AnalyseSeries(len(places), set, func(i int, set take.Settings) (*take.Analysis, error) {
		if places[i] != next.Shown {
			set.Orders = 0
		}
		return next.Seats[places[i]].reader.Analyse(set)
	})
	if err != nil {
		return nil, err
	}
	for i, a := range all {
		next.Seats[places[i]].Analysis = a
	}
	next.together()
	s.read = next
	return next.Seats[next.Shown].Analysis, nil
}

// together finds the mean of each side and compares the two.
func (s *Series) together() {
	s.Means, s.Compared, s.Refused = nil, nil, ""
	for _, side := range s.Sides {
		var all []*take.Analysis
		for _, x := range s.Seats {
			if x.Side == side && x.Counts() {
				all = append(all, x.Analysis)
			}
		}
		if len(all) == 0 {
			continue
		}
		g, err := take.Together(all)
		if err != nil {
			s.Refused = sentence(err)
			return
		}
		s.Means = append(s.Means, SideMean{side, g})
	}
	if left, right := s.mean(take.Left), s.mean(take.Right); left != nil && right != nil {
		compared, err := take.Compare(left.Group, right.Group)
		if err != nil {
			s.Refused = sentence(err)
			return
		}
		s.Compared = &compared
	}
}

// mean is that of one side, nil where nothing counts there.
func (s Series) mean(side take.Side) *SideMean {
	for i := range s.Means {
		if s.Means[i].Side == side {
			return &s.Means[i]
		}
	}
	return nil
}

// Name names a seat: "seating 2 of 5, left".
func (s Series) name(i int) string {
	x := s.Seats[i]
	text := fmt.Sprintf("seating %d of %d", x.Number, s.Of)
	if x.Side != take.Untold {
		text += ", " + string(x.Side)
	}
	return text
}
