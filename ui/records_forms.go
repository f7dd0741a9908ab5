package ui

import (
	"context"
	"fmt"

	"stillroom/app/desk"
)

// filter sets a filter; days that are chosen are asked for first.
func (v *recordsView) filter(f desk.Filter, id string) {
	if f == desk.TimeFilter && id == string(desk.ChosenDays) {
		v.openDays()
		return
	}
	v.ask(func(s *desk.Search) { s.Set(f, id) })
}

// openDays asks for the first and the last day.
func (v *recordsView) openDays() {
	s := v.shell
	was := s.desk.State().Listing.Asked.DaysForm()
	f := newFields(s, 252, "From", "To")
	f.caption("From", "First day, as 2026-11-24").caption("To", "Last day; empty: until now")
	f.fill(map[string]string{"From": was.From, "To": was.To})
	s.openForm("Measured from … to …", pairs(f.boxes("From", "To")...), f.of, f.of["From"].entry, func() []desk.Field {
		wrong := s.desk.AskDays(desk.DaysForm{From: f.text("From"), To: f.text("To")})
		if len(wrong) == 0 {
			s.run(s.desk.Answer)
		}
		return wrong
	})
}

// openTags asks which tags the selected takes get and lose.
func (v *recordsView) openTags() {
	s := v.shell
	ids := s.desk.State().Listing.Targets()
	if len(ids) == 0 {
		return
	}
	f := newFields(s, 520, "Add", "Remove")
	f.caption("Add", "Tags to add, with commas between them").caption("Remove", "Tags to take away")
	title := "Tags of the take"
	if len(ids) > 1 {
		title = fmt.Sprintf("Tags of %d takes", len(ids))
	}
	s.openForm(title, newColumn(14, 520, f.boxes("Add", "Remove")...), f.of, f.of["Add"].entry, func() []desk.Field {
		form := desk.TagForm{Add: f.text("Add"), Remove: f.text("Remove")}
		wrong := desk.CheckTags(form)
		if len(wrong) == 0 {
			s.run(func(ctx context.Context) error { _, err := s.desk.Tag(ctx, ids, form); return err })
		}
		return wrong
	})
}
