package ui

import (
	"context"

	"fyne.io/fyne/v2"

	"stillroom/app/desk"
)

// fixtureSteps and fixturePage are the card of the fixture's own response.
func (v *rigView) fixtureSteps() cardSteps {
	s := v.shell
	return cardSteps{start: "Read", run: func() {
		f := v.pages.fixture
		typed := desk.FixtureForm{Path: f.text("File"), Name: f.text("Fixture")}
		s.runForm(f, v.refresh, func(context.Context) ([]desk.Field, error) { return s.desk.ReadFixtureFile(typed) })
	}, refill: func(st desk.State) {
		show(st.Rig.Calibrations.Fixture != nil, v.pages.remove)
		v.pages.fixture.of["Fixture"].entry.SetPlaceHolder(st.Rig.Fixture)
	}}
}

func (v *rigView) fixturePage() fyne.CanvasObject {
	s := v.shell
	f := newFields(s, 150, "File", "Fixture")
	f.caption("File", "File, or its path").caption("Fixture", "Fixture's name")
	f.of["File"].entry.SetPlaceHolder("paste a path, or choose")
	v.pages.fixture = f
	for _, one := range f.of {
		one.entry.OnSubmitted = func(string) { v.fixtureCard().press() }
	}
	v.pages.remove = s.secondary("Take it away", func() { s.run(s.desk.RemoveFixture) })
	keys := newRow(10, s.secondary("Choose a file …", func() { v.shell.pickFile(f.of["File"].entry) }), v.pages.remove)
	return newColumn(9, 420, f.of["File"].box, keys, abreast(316, f.of["Fixture"].box))
}

func (v *rigView) fixtureCard() *benchCard { return v.cards[4] }
