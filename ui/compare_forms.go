package ui

import (
	"context"

	"stillroom/app/comparing"
	"stillroom/app/desk"
)

// openName asks for the board's name.
func (v *compareView) openName() { v.askName(nil) }

// askName asks for the board's name, and goes on once it has one.
func (v *compareView) askName(then func()) {
	s := v.shell
	f := newFields(s, 520, "Name")
	f.fill(map[string]string{"Name": v.table.State().NameOrSuggestion()})
	s.openForm("Name of the board", newColumn(14, 520, f.of["Name"].box), f.of, f.of["Name"].entry, func() []desk.Field {
		wrong := v.table.SetName(f.text("Name"))
		if len(wrong) == 0 && then != nil {
			then()
		}
		return wrong
	})
}

// save keeps the board; one without a name gets it first.
func (v *compareView) save() {
	v.side.takeNotes()
	if v.table.State().Board.Name == "" {
		v.askName(func() { v.shell.run(v.table.Save) })
		return
	}
	v.shell.run(v.table.Save)
}

// openAlign asks how levels are aligned and over which band closeness is told.
func (v *compareView) openAlign() {
	s := v.shell
	was := v.table.State().AlignForm()
	on := was.On
	how := newChoice(s, "Levels", func(id string) { on = id })
	how.set(comparing.AlignChoices(), on)
	f := newFields(s, 252, "From", "To", "Closeness from", "Closeness to")
	f.caption("From", "Align from, Hz").caption("To", "Align to, Hz").caption("Closeness from", "Closeness from, Hz").caption("Closeness to", "Closeness to, Hz")
	f.fill(map[string]string{"From": was.FromHz, "To": was.ToHz, "Closeness from": was.CloseFromHz, "Closeness to": was.CloseTo})
	body := newColumn(14, 520, how.box, pairs(f.boxes("From", "To", "Closeness from", "Closeness to")...))
	s.openForm("Levels and closeness", body, f.of, f.of["From"].entry, func() []desk.Field {
		return v.table.SetAlign(comparing.AlignForm{On: on, FromHz: f.text("From"), ToHz: f.text("To"), CloseFromHz: f.text("Closeness from"), CloseTo: f.text("Closeness to")})
	})
}

// openGate asks for the gate of all traces and what their levels are re.
func (v *compareView) openGate() {
	s := v.shell
	form := v.table.State().GateForm()
	kind := newChoice(s, "Gate", func(id string) { form.Kind = id })
	kind.set(comparing.GateChoices(), form.Kind)
	level := newChoice(s, "Levels", func(id string) { form.Level = id })
	level.set(comparing.LevelChoices(), form.Level)
	place := newChoice(s, "Told for, where levels are not as kept", func(id string) { form.Place = id })
	place.set(desk.PlaceChoices(), form.Place)
	f := newFields(s, 252, "Closes", "Periods")
	f.caption("Closes", "One time: closes after the arrival, ms").caption("Periods", "Or how many periods")
	f.fill(map[string]string{"Closes": form.CloseMS, "Periods": form.Periods})
	body := newColumn(14, 520, kind.box, pairs(f.boxes("Closes", "Periods")...), pairs(level.box, place.box))
	s.openForm("Gate and levels of all traces", body, f.of, f.of["Closes"].entry, func() []desk.Field {
		form.CloseMS, form.Periods = f.text("Closes"), f.text("Periods")
		return v.table.SetGate(form)
	})
}

// openTrace asks for name, look and offset of the chosen trace.
func (v *compareView) openTrace() {
	s := v.shell
	st := v.table.State()
	id := st.Chosen
	form, ok := st.TraceForm(id)
	if !ok {
		return
	}
	color := newChoice(s, "Colour", func(c string) { form.Color = c })
	color.set(comparing.ColorChoices(), form.Color)
	dash := newChoice(s, "Line", func(d string) { form.Dash = d })
	dash.set(comparing.DashChoices(), form.Dash)
	f := newFields(s, 252, "Name", "Offset")
	f.caption("Offset", "Offset after the alignment, dB")
	f.fill(map[string]string{"Name": form.Name, "Offset": form.OffsetDB})
	body := newColumn(14, 520, f.of["Name"].box, pairs(color.box, dash.box), f.of["Offset"].box, newParagraph(s.look, roleCaption, "", st.SourceText(id), 520))
	s.openForm("Trace", body, f.of, f.of["Name"].entry, func() []desk.Field {
		form.Name, form.OffsetDB = f.text("Name"), f.text("Offset")
		return v.table.SetTrace(id, form)
	})
}

// openBoards opens, deletes or begins boards.
func (v *compareView) openBoards() {
	s := v.shell
	s.run(func(ctx context.Context) error {
		names, err := v.table.Names(ctx)
		if err == nil {
			s.hop.run(func() { v.listBoards(names) })
		}
		return err
	})
}
