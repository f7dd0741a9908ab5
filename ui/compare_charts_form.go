package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"stillroom/app/comparing"
	"stillroom/app/desk"
)

// openCharts asks which charts are shown, and how.
func (v *compareView) openCharts() {
	s := v.shell
	st := v.table.State()
	form := st.ChartsForm()
	var columns []fyne.CanvasObject
	var all []*checks
	for _, g := range comparing.ViewGroups() {
		c := newChecks(s, g.Views, form.Views...)
		all = append(all, c)
		columns = append(columns, newColumn(0, 190, append([]fyne.CanvasObject{newLine(s.look, roleTitle, g.Title)}, c.boxes...)...))
	}
	f := newFields(s, 180, "Lasts", "Periods")
	f.caption("Lasts", "Decay lasts, ms; empty: usual").caption("Periods", "Over periods, how many")
	f.fill(map[string]string{"Lasts": form.LastsMS, "Periods": form.LastPeriods})
	f.of["Charts"] = said(s)
	pick := func(caption string, list []desk.Choice, id string, set func(string)) fyne.CanvasObject {
		c := newChoice(s, caption, set)
		c.set(list, id)
		return c.box
	}
	how := container.NewGridWithColumns(3,
		pick("Harmonics", comparing.UnitChoices(), form.Unit, func(id string) { form.Unit = id }),
		pick("Counted", comparing.ReChoices(), form.Re, func(id string) { form.Re = id }),
		pick("Drawn", comparing.AtChoices(), form.At, func(id string) { form.At = id }),
		pick("Decay and spectrogram as", comparing.DrawnChoices(), form.Drawn, func(id string) { form.Drawn = id }),
		pick("Of which trace", st.MapChoices(), form.MapOf, func(id string) { form.MapOf = id }),
		pick("Third-octave levels", comparing.WeightingChoices(), form.Weighting, func(id string) { form.Weighting = id }),
		f.of["Lasts"].box, f.of["Periods"].box)
	body := newColumn(10, 760, container.NewHBox(columns...), how, f.of["Charts"].box)
	s.openForm("Charts", body, f.of, nil, func() []desk.Field {
		form.Views = nil
		for _, c := range all {
			form.Views = append(form.Views, c.ids()...)
		}
		form.LastsMS, form.LastPeriods = f.text("Lasts"), f.text("Periods")
		return v.table.SetCharts(form)
	})
	s.window.Canvas().Focus(all[0].boxes[0].(fyne.Focusable))
}

// openTarget asks for the target, and what is shown of all traces together.
func (v *compareView) openTarget() {
	s := v.shell
	st := v.table.State()
	form := st.TargetForm()
	target := newChoice(s, "Target", func(id string) { form.Target = id })
	target.set(st.TargetChoices(), form.Target)
	fixture := newChoice(s, "A target from a file is", func(id string) { form.Fixture = id })
	fixture.set(comparing.FixtureChoices(), form.Fixture)
	f := newFields(s, 520, "File")
	f.caption("File", "File of a target: frequency, dB and perhaps one or two columns of tolerance")
	pick := s.secondary("Choose a file …", func() { s.pickFile(f.of["File"].entry) })
	absolute := newCheck(s, "Its levels stand as they are, and are not brought to that of the reference", form.Absolute, func(on bool) { form.Absolute = on })
	group := container.NewHBox(
		newCheck(s, "Mean", form.Mean, func(on bool) { form.Mean = on }),
		newCheck(s, "Lowest to highest", form.Extremes, func(on bool) { form.Extremes = on }),
		newCheck(s, "± one standard deviation", form.Deviation, func(on bool) { form.Deviation = on }))
	body := newColumn(10, 520, target.box, newParagraph(s.look, roleCaption, "", st.TargetText(), 520), f.of["File"].box, newRow(0, pick), fixture.box, absolute,
		newLine(s.look, roleTitle, "Of all traces that are shown"), group)
	s.openForm("Target and group", body, f.of, nil, func() []desk.Field {
		form.File = f.text("File")
		return v.table.SetTarget(form)
	})
	s.window.Canvas().Focus(target.drop)
}
