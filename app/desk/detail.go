package desk

import (
	"context"
	"errors"
	"fmt"

	"stillroom/app/records"
	"stillroom/app/take"
)

// Detail is what is told of one take beside the list.
type Detail struct {
	Entry   Entry
	Unit    records.Unit // Version 0: the take has no serial number, or no unit
	Takes   int          // of the unit
	Void    int          // of these
	More    bool         // the unit has more than were counted
	Notes   []records.NoteEntry
	History []HistoryRow // newest first
	Earlier int          // what is left out of the history
}

// mostOfUnit is how many takes of one unit are looked at for its details.
const mostOfUnit = 500

// LoadDetail reads the details of the take that is looked at. Where another one is
// looked at meanwhile it ends without an error.
func (d *Desk) LoadDetail(ctx context.Context) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	d.mu.Lock()
	if d.finder.detail != nil {
		d.finder.detail()
	}
	d.finder.detail = cancel
	e, deleted := d.state.Listing.Chosen, d.state.Listing.answered.Deleted
	d.mu.Unlock()
	detail := Detail{}
	if e.ID != "" {
		var err error
		if detail, err = d.readDetail(ctx, e, deleted); err != nil {
			return d.failUnless(ctx, err)
		}
	}
	d.change(RecordsTopic, func(s *State) {
		if s.Listing.Chosen.ID == e.ID {
			s.Detail = detail
		}
	})
	return nil
}

func (d *Desk) readDetail(ctx context.Context, e Entry, deleted bool) (Detail, error) {
	store, detail := d.parts.Records, Detail{Entry: e}
	var h history
	err := h.addEvents(ctx, store, records.AboutTake(e.ID), "")
	if err != nil {
		return detail, err
	}
	if detail.Notes, err = store.Notes(ctx, records.AboutTake(e.ID)); err != nil {
		return detail, err
	}
	if e.Row.Subject.Serial != "" {
		if err := d.readUnit(ctx, &detail, &h); err != nil {
			return detail, err
		}
	}
	detail.History, detail.Earlier = h.newest()
	return detail, nil
}

// readUnit adds what is known of the unit of a take.
func (d *Desk) readUnit(ctx context.Context, detail *Detail, h *history) (err error) {
	store, e := d.parts.Records, detail.Entry
	id := records.UnitID{Model: e.Row.Subject.Model, Serial: e.Row.Subject.Serial}
	detail.Unit, err = store.Unit(ctx, id)
	if errors.Is(err, records.ErrNoUnit) {
		return nil
	}
	if err != nil {
		return err
	}
	notes, err := store.Notes(ctx, records.AboutUnit(id))
	if err != nil {
		return err
	}
	detail.Notes = append(notes, detail.Notes...)
	if err := h.addEvents(ctx, store, records.AboutUnit(id), "with its first take"); err != nil {
		return err
	}
	rows, err := store.List(ctx, records.Query{Unit: id, Limit: mostOfUnit + 1})
	if err != nil {
		return err
	}
	detail.More = len(rows) > mostOfUnit
	for _, r := range rows[:min(len(rows), mostOfUnit)] {
		detail.Takes++
		if r.Worst == take.Void {
			detail.Void++
		}
		if r.ID != e.ID {
			h.addTake(r)
		}
	}
	return nil
}

// Title names a take above its details.
func (t Detail) Title() string {
	if t.Entry.ID == "" {
		return "No take chosen"
	}
	return t.Entry.Title()
}

// Rows are the details in lines.
func (t Detail) Rows() []Row {
	r := t.Entry.Row
	rows := []Row{
		{"Measured", fullMoment(r.At)},
		{"By", orDash(r.Person)},
		{"Rig", orDash(r.Rig)},
		{"Place", orDash(t.Entry.Place)},
	}
	if r.Worst != "" {
		rows = append(rows, Row{"Findings", findingsWord(t.Entry.Verdict)})
	}
	if t.Takes > 0 {
		rows = append(rows, Row{"Takes of this unit", t.takesText()})
	}
	rows = append(rows, Row{"Recording kept", keptText(r)})
	if len(r.Tags) > 0 {
		rows = append(rows, Row{"Tags", joined(r.Tags)})
	}
	return rows
}

// takesText counts the takes of a unit: "3, one void".
func (t Detail) takesText() string {
	text := grouped(t.Takes)
	if t.More {
		text = "more than " + text
	}
	switch t.Void {
	case 0:
		return text
	case 1:
		return text + ", one void"
	}
	return fmt.Sprintf("%s, %s void", text, grouped(t.Void))
}

// findingsWord says in a word what a take says of itself.
func findingsWord(verdict string) string {
	switch verdict {
	case Void:
		return "void: do not use"
	case Remark:
		return "a remark: look at it"
	}
	return "a note"
}

// keptText tells whether the recording is kept: "yes, 1.4 MB".
func keptText(r records.Row) string {
	if !r.Raw() {
		return "no: impulse only"
	}
	return "yes, " + bytesText(r.Bytes)
}

// bytesText writes a size in units of 1000: "1.4 MB".
func bytesText(n int64) string {
	switch v := float64(n); {
	case v < 999.5:
		return quantity(v, 0, "B")
	case v < 999_500:
		return quantity(v/1e3, 0, "kB")
	case v < 999_500_000:
		return quantity(v/1e6, 1, "MB")
	default:
		return quantity(v/1e9, 1, "GB")
	}
}
