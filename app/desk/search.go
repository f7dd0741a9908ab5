package desk

import (
	"time"

	"stillroom/app/records"
)

// Search is what a person asks of the records: words, filters, and an order. The zero
// value asks for all that is kept, newest first.
type Search struct {
	Text     string
	Model    string
	Status   records.Status
	Tag      string
	Span     Span
	From, To time.Time // of ChosenDays: midnight of the first and of the last day
	Deleted  bool      // the deleted ones instead

	Sort      records.Sort
	Backwards bool
}

// Span is a stretch of time that takes were measured in.
type Span string

// The spans. All end with today but ChosenDays.
const (
	AnyTime    Span = ""
	Today      Span = "today"
	Last7Days  Span = "7 days"
	Last30Days Span = "30 days"
	ThisYear   Span = "year"
	ChosenDays Span = "days"
)

// Narrow tells whether a search leaves anything out of what is kept.
func (s Search) Narrow() bool {
	s.Deleted, s.Sort, s.Backwards = false, 0, false
	return s != Search{}
}

// query is the search as the records understand it. now tells which day is today.
func (s Search) query(now time.Time) records.Query {
	q := records.Query{
		Search: s.Text, Model: s.Model, Status: s.Status, Tag: s.Tag, Deleted: s.Deleted,
		Sort: s.Sort, Backwards: s.Backwards,
	}
	q.Since, q.Until = s.span(now)
	return q
}

// span is the time in which takes were measured, its end left out; zero is no bound.
// Days begin at midnight where the reader is.
func (s Search) span(now time.Time) (since, until time.Time) {
	now = now.Local()
	day := func(back int) time.Time {
		return time.Date(now.Year(), now.Month(), now.Day()-back, 0, 0, 0, 0, time.Local)
	}
	switch s.Span {
	case Today:
		return day(0), time.Time{}
	case Last7Days:
		return day(6), time.Time{}
	case Last30Days:
		return day(29), time.Time{}
	case ThisYear:
		return time.Date(now.Year(), 1, 1, 0, 0, 0, 0, time.Local), time.Time{}
	case ChosenDays:
		if !s.To.IsZero() {
			until = s.To.AddDate(0, 0, 1)
		}
		return s.From, until
	}
	return time.Time{}, time.Time{}
}

// SortBy orders by a column; asked for again it turns the order round.
func (s *Search) SortBy(by records.Sort) {
	s.Sort, s.Backwards = by, s.Sort == by && !s.Backwards
}

// DaysForm is the span from one day to another, as text.
type DaysForm struct{ From, To string }

// DaysForm is the form filled in.
func (s Search) DaysForm() DaysForm {
	if s.Span != ChosenDays {
		return DaysForm{}
	}
	return DaysForm{dayText(s.From), dayText(s.To)}
}

// read takes the days of a form over. Where a line cannot be used nothing is changed.
func (f DaysForm) read(s *Search) []Field {
	var in reader
	from, to := in.day("From", f.From), in.day("To", f.To)
	switch {
	case len(in.wrong) > 0:
	case from.IsZero() && to.IsZero():
		in.add("From", "give a first day, a last day, or both: 2026-11-24")
	case !to.IsZero() && to.Before(from):
		in.add("To", "the last day is before the first: exchange them")
	}
	if len(in.wrong) == 0 {
		s.Span, s.From, s.To = ChosenDays, from, to
	}
	return in.wrong
}

// dayForms are how a day may be typed; the first is how it is written.
var dayForms = [...]string{"2006-01-02", "2 Jan 2006", "2.1.2006", "2 January 2006"}

// day reads a day; an empty line is none.
func (r *reader) day(name, text string) time.Time {
	if text == "" {
		return time.Time{}
	}
	for _, form := range dayForms {
		if t, err := time.ParseInLocation(form, text, time.Local); err == nil {
			return t
		}
	}
	r.add(name, "this is no day of the calendar: write it as 2026-11-24")
	return time.Time{}
}

func dayText(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Local().Format(dayForms[0])
}
