package desk

import (
	"context"
	"errors"
	"fmt"
	"strconv"

	"stillroom/app/records"
	"stillroom/app/take"
)

// SeriesForm is what is asked before a series, as text.
type SeriesForm struct {
	Seatings string // how many for each side
	Side     string // a choice of SideChoices
}

// SideChoices are the sides that a series can be about.
func SideChoices() []Choice {
	return []Choice{{"both", "left, then right"}, {"left", "left"}, {"right", "right"}, {"none", "not told"}}
}

func sidesOf(id string) []take.Side {
	switch id {
	case "both":
		return []take.Side{take.Left, take.Right}
	case "left":
		return []take.Side{take.Left}
	case "right":
		return []take.Side{take.Right}
	}
	return []take.Side{take.Untold}
}

// SeriesForm is the form as it is offered: as the series in hand, or five seatings,
// of both sides where the fixture wears a headphone.
func (s State) SeriesForm() SeriesForm {
	f := SeriesForm{Seatings: strconv.Itoa(usualSeatings), Side: "none"}
	if s.Rig.FixtureKind.Worn() {
		f.Side = "both"
	}
	if s.Series.On() {
		f.Seatings = strconv.Itoa(s.Series.Of)
		for _, c := range SideChoices() {
			if sides := sidesOf(c.ID); len(sides) == len(s.Series.Sides) && sides[0] == s.Series.Sides[0] {
				f.Side = c.ID
			}
		}
	}
	return f
}

// StartSeries begins a series: from now on Measure takes one seating after the other.
// What is in hand is put aside. Where the fixture wears a headphone, the question
// before the sound is asked anew, once for the whole series. Where a line cannot be
// used nothing is changed and the lines are returned.
func (d *Desk) StartSeries(f SeriesForm) []Field {
	var r reader
	of := r.number("Seatings", f.Seatings, 1, mostSeatings, "")
	if len(r.wrong) == 0 && of != float64(int(of)) {
		r.add("Seatings", "type a whole number")
	}
	if len(r.wrong) > 0 {
		return r.wrong
	}
	d.change(SubjectTopic, func(s *State) { s.Consent = consent{} })
	d.begin(int(of), sidesOf(f.Side))
	return nil
}

// begin puts an empty series in hand.
func (d *Desk) begin(of int, sides []take.Side) {
	id := records.NewID(d.now())
	d.mu.Lock()
	d.study, d.wanted = nil, nil
	d.mu.Unlock()
	d.change(TakeTopic|AnalysisTopic|SubjectTopic|NoticeTopic, func(s *State) {
		s.Take, s.Analysis, s.Kept, s.Notice = nil, nil, false, Notice{}
		s.Series = newSeries(id, of, sides)
	})
}

// EndSeries goes back to single takes. What is not kept is discarded.
func (d *Desk) EndSeries() {
	d.Discard()
	d.change(TakeTopic|SubjectTopic|NoticeTopic, func(s *State) { s.Series, s.Notice = Series{}, Notice{} })
}

// anew is a series like s with nothing measured; none where s is none.
func (s Series) anew(id string) Series {
	if !s.On() {
		return s
	}
	return newSeries(id, s.Of, s.Sides)
}

// measureSeating records the next seating. After a series that is kept the next one
// begins.
func (d *Desk) measureSeating(ctx context.Context) error {
	s := d.State()
	if s.Kept {
		if err := d.mayPlay(s.Programme.LevelDBFS); err != nil {
			return d.fail(err)
		}
		d.begin(s.Series.Of, s.Series.Sides)
		s = d.State()
	}
	i := s.Series.Next()
	if i < 0 {
		return d.fail(errors.New("all seatings of this series are measured: keep it, or leave a seating out to measure that one again"))
	}
	seat := s.Series.Seats[i]
	subject := s.Subject
	subject.Side = seat.Side
	return d.record(ctx, subject, func(t *take.Take) error {
		t.Series = take.Series{ID: s.Series.ID, Number: seat.Number, Of: s.Series.Of}
		return d.seat(s.Series.ID, i, t)
	})
}

// seat adds a recording to the series in hand. One that is void does not count, and
// is measured again.
func (d *Desk) seat(id string, i int, t *take.Take) error {
	s := d.State()
	if s.Series.ID != id {
		return errors.New("the series was put aside while a seating was measured: start it again")
	}
	again := func(err error) error {
		return fmt.Errorf("%s does not count: %w Press Space to measure it again", s.Series.name(i), err)
	}
	study, err := d.parts.Study(t)
	if err != nil {
		return again(errors.New(sentence(err)))
	}
	r := &reading{study: study}
	a, err := r.Analyse(d.settingsInUse())
	if err != nil {
		return again(errors.New(sentence(err)))
	}
	if a.Void() {
		return again(errors.New(a.Findings[0].Message))
	}
	next := s.Series.with(i, Seat{Side: s.Series.Seats[i].Side, Number: s.Series.Seats[i].Number, Take: t, reader: r})
	return d.holdSeries(next, d.settingsInUse(), false)
}

// settingsInUse are those of the analysis in hand, or those asked for last, or those
// of a new take.
func (d *Desk) settingsInUse() take.Settings {
	d.mu.Lock()
	defer d.mu.Unlock()
	switch {
	case d.wanted != nil:
		return *d.wanted
	case d.state.Analysis != nil:
		return d.state.Analysis.Settings
	}
	return d.state.firstSettings()
}

// holdSeries puts a series in hand, with the seating that it shows.
func (d *Desk) holdSeries(next Series, settings take.Settings, kept bool) error {
	study := &seriesStudy{next}
	a, err := study.Analyse(settings)
	if err != nil {
		return fmt.Errorf("the series cannot be analysed: %w", err)
	}
	t := *next.Seats[next.Shown].Take
	t.Settings = a.Settings
	next = study.read
	d.change(TakeTopic|AnalysisTopic|SubjectTopic, func(s *State) {
		d.study, d.wanted = study, nil
		s.Take, s.Analysis, s.Kept, s.Series = &t, a, kept, next
	})
	return nil
}

// ShowSeat takes another seating of the series in hand.
func (d *Desk) ShowSeat(i int) error {
	s := d.State()
	if i < 0 || i >= len(s.Series.Seats) || s.Series.Seats[i].Take == nil || i == s.Series.Shown {
		return nil
	}
	next := s.Series
	next.Shown = i
	return d.fail(d.holdSeries(next, d.settingsInUse(), s.Kept))
}

// LeaveOut takes a seating out of the mean, or puts it back. A seating that is left
// out can be measured again.
func (d *Desk) LeaveOut(i int) error {
	s := d.State()
	if i < 0 || i >= len(s.Series.Seats) || s.Series.Seats[i].Take == nil {
		return nil
	}
	if s.Kept {
		return d.fail(errors.New("this series is kept as it is: what counts in it is not changed any more"))
	}
	seat := s.Series.Seats[i]
	seat.LeftOut = !seat.LeftOut
	return d.fail(d.holdSeries(s.Series.with(i, seat), d.settingsInUse(), false))
}
