package ui

import (
	"context"

	"fyne.io/fyne/v2"

	"stillroom/app/desk"
)

// limitsLink is the line under the limits of the rig that tells those of the model
// that is measured, and opens them.
func (f *rigForm) limitsLink() fyne.CanvasObject {
	f.limits = newTextLink(f.of.look, "", f.openLimits)
	f.limits.width = rigPanelWidth - 44
	f.limits.came = func() { f.reveal(f.limits) }
	return linkRow(f.limits)
}

// reveal scrolls the column so far that an object of it is in sight.
func (f *rigForm) reveal(o fyne.CanvasObject) {
	at := f.of.app.Driver().AbsolutePositionForObject
	top := at(o).Y - at(f.scroll).Y
	switch over := top + o.Size().Height + gap - f.scroll.Size().Height; {
	case over > 0:
		f.scroll.ScrollToOffset(fyne.NewPos(0, f.scroll.Offset.Y+over))
	case top < 0:
		f.scroll.ScrollToOffset(fyne.NewPos(0, f.scroll.Offset.Y+top-gap))
	}
}

// showLimits brings the line up to date, and looks the model up where another is
// measured than before.
func (f *rigForm) showLimits(s desk.State) {
	f.limits.say(s.LimitsLine() + " …")
	if s.ModelStale() {
		f.of.run(f.of.desk.LookUpModel)
	}
}

// openLimits opens the limits of the model that is measured.
func (f *rigForm) openLimits() {
	s := f.of
	st := s.desk.State()
	form := newFields(s, 240, "Lowest frequency", "Highest voltage", "Impedance")
	form.caption("Lowest frequency", "Lowest frequency, Hz").caption("Highest voltage", "Highest voltage, V").caption("Impedance", "Rated impedance, Ω")
	filled := st.LimitsForm()
	form.fill(map[string]string{"Lowest frequency": filled.LowestHz, "Highest voltage": filled.HighestVolts, "Impedance": filled.ImpedanceOhm})
	form.of["Lowest frequency"].entry.SetPlaceHolder("not limited")
	form.of["Highest voltage"].entry.SetPlaceHolder("not limited")
	form.of["Impedance"].entry.SetPlaceHolder("not known")
	unchecked := filled.Unchecked
	choice := newChoice(s, "Where volts are limited and the output is not calibrated", func(id string) { unchecked = id })
	choice.set(desk.UncheckedChoices(), unchecked)
	body := newColumn(12, 520, newParagraph(s.look, roleSecond, "", desk.LimitsAdvice, 520),
		pairs(form.boxes("Lowest frequency", "Highest voltage", "Impedance")...), choice.box)
	s.openForm("Limits of "+st.LimitsOf(), body, form.of, form.of["Lowest frequency"].entry, func() []desk.Field {
		typed := desk.LimitsForm{LowestHz: form.text("Lowest frequency"), HighestVolts: form.text("Highest voltage"),
			ImpedanceOhm: form.text("Impedance"), Unchecked: unchecked}
		if wrong := s.desk.CheckLimits(typed); len(wrong) > 0 {
			return wrong
		}
		s.run(func(ctx context.Context) error {
			_, err := s.desk.SetLimits(ctx, typed)
			return err
		})
		return nil
	})
}
