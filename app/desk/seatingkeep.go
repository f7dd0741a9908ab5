package desk

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"stillroom/app/records"
	"stillroom/app/take"
)

// keepSeries writes all seatings of the series in hand, those left out among them,
// each a take of its own. Where one cannot be written none is kept.
func (d *Desk) keepSeries(ctx context.Context) error {
	s := d.State()
	if s.Series.Counted() == 0 {
		return d.fail(errors.New("no seating counts yet, so there is nothing to keep: press Space to measure one"))
	}
	if s.Work == Measuring {
		return d.fail(errors.New("a seating is measured just now: keep the series when it is done"))
	}
	var all []records.Kept
	for _, x := range s.Series.Seats {
		if x.Take != nil {
			t := *x.Take
			t.Settings, t.Series.LeftOut = s.Analysis.Settings, x.LeftOut
			all = append(all, records.Kept{Take: &t, Summary: Summary(x.Analysis)})
		}
	}
	if err := d.parts.Records.Keep(ctx, all...); err != nil {
		return d.fail(fmt.Errorf("the series is not kept: %w", err))
	}
	d.change(TakeTopic|SubjectTopic, func(now *State) {
		if now.Series.ID == s.Series.ID {
			now.Kept, now.Consent = true, consent{} // the next series asks again
		}
	})
	line := fmt.Sprintf("Kept: %s, %s, each with its recording. They are in Records, and open together.", name(s.Subject), seatings(len(all)))
	d.say(d.keptLine(line, name(s.Subject)+", "+seatings(len(all)), all[0].Take.ID))
	return d.Refresh(ctx)
}

// openSeries takes a kept series in hand, showing the take that was chosen.
func (d *Desk) openSeries(ctx context.Context, chosen *take.Take) error {
	rows, err := d.parts.Records.List(ctx, records.Query{Series: chosen.Series.ID})
	if err != nil {
		return d.fail(fmt.Errorf("the series cannot be opened: %w", err))
	}
	all := []*take.Take{chosen}
	for _, r := range rows {
		if r.ID == chosen.ID {
			continue
		}
		t, err := d.parts.Records.Take(ctx, r.ID)
		if err != nil {
			return d.fail(fmt.Errorf("the series cannot be opened: %w", err))
		}
		all = append(all, t)
	}
	series, err := d.seriesFrom(all)
	if err != nil {
		return d.fail(fmt.Errorf("the series cannot be opened: %w", err))
	}
	if err := d.holdSeries(series, chosen.Settings, true); err != nil {
		return d.fail(err)
	}
	line := fmt.Sprintf("Opened: %s, %s, measured %s.", name(chosen.Subject), seatings(len(all)), fullMoment(chosen.At))
	if n := len(series.Seats) - len(all); n > 0 {
		line += fmt.Sprintf(" %s of this series %s not in Records.", seatings(n), isAre(n))
	}
	d.say(line)
	return nil
}

// seriesFrom sorts takes of one series into their seats. The first is shown.
func (d *Desk) seriesFrom(all []*take.Take) (Series, error) {
	of := 0
	var sides []take.Side
	for _, side := range []take.Side{take.Left, take.Right, take.Untold} {
		if slices.ContainsFunc(all, func(t *take.Take) bool { return t.Subject.Side == side }) {
			sides = append(sides, side)
		}
	}
	for _, t := range all {
		of = max(of, t.Series.Of, t.Series.Number)
	}
	s := newSeries(all[0].Series.ID, of, sides)
	for _, t := range all {
		study, err := d.parts.Study(t)
		if err != nil {
			return Series{}, fmt.Errorf("take %s: %w", t.ID, err)
		}
		i := slices.IndexFunc(s.Seats, func(x Seat) bool { return x.Side == t.Subject.Side && x.Number == t.Series.Number })
		if i < 0 || s.Seats[i].Take != nil {
			return Series{}, fmt.Errorf("take %s names a seating that is not one of its own (number %d): remove it from Records", t.ID, t.Series.Number)
		}
		s.Seats[i].Take, s.Seats[i].LeftOut, s.Seats[i].reader = t, t.Series.LeftOut, &reading{study: study}
		if t == all[0] {
			s.Shown = i
		}
	}
	return s, nil
}
