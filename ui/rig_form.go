package ui

import (
	"context"
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"stillroom/app/desk"
	"stillroom/app/rig"
)

// rigForm is the column at the left of the Rig room: sound, place, limits.
type rigForm struct {
	of *shell

	kind, output, outputChannel, input, inputChannel, loopback, rate, subject, place, fixtureKind *choice

	typed                         *fields
	hardware, channels, simulated *fyne.Container
	microphones                   *microphoneRows
	limits                        *textLink // of the model that is measured
	left                          *fyne.Container
	scroll                        *container.Scroll // around left
}

func (f *rigForm) build(s *shell) {
	f.of = s
	f.buildChoices()
	f.buildTyped()
	f.microphones = newMicrophoneRows(s)
	look := container.NewHBox(newTextLink(s.look, "Look again for devices", func() {
		s.run(func(ctx context.Context) error { s.desk.Rescan(ctx); return nil })
	}))
	f.hardware = newColumn(12, 280, f.output.box, f.input.box, look)
	f.channels = newColumn(12, 280, halves(f.outputChannel.box, f.inputChannel.box), f.loopback.box, f.microphones.box)
	f.simulated = newColumn(12, 280, f.subject.box, halves(f.typed.of["Serial"].box, f.place.box))
	f.left = newColumn(12, rigPanelWidth-40,
		newLine(s.look, roleTitle, "Sound"), f.kind.box, f.hardware, f.simulated, f.channels, f.rate.box,
		spacer(0, 4), newLine(s.look, roleTitle, "Place"), f.typed.of["Name"].box, halves(f.typed.of["Fixture"].box, f.fixtureKind.box),
		halves(f.typed.of["Distance"].box, f.typed.of["Impedance"].box),
		spacer(0, 4), newLine(s.look, roleTitle, "Limits"), halves(f.typed.of["Output limit"].box, f.typed.of["Highest voltage"].box), f.limitsLink(), f.typed.of["Level"].box,
		newParagraph(s.look, roleCaption, "", desk.LevelAdvice, 280))
}

func (f *rigForm) buildChoices() {
	s := f.of
	f.kind = newChoice(s, "Kind", func(id string) {
		s.run(func(ctx context.Context) error { return s.desk.SetKind(ctx, id) })
	})
	f.output = newChoice(s, "Output", func(id string) { f.alter(func(r *rig.Rig) { r.OutputDevice = id }) })
	f.input = newChoice(s, "Input", func(id string) { f.alter(func(r *rig.Rig) { r.InputDevice = id }) })
	f.outputChannel = newChoice(s, "Drive on channel", func(id string) {
		f.alter(func(r *rig.Rig) { r.OutputChannel = desk.ChannelOf(id) })
	})
	f.inputChannel = newChoice(s, "Microphone on channel", func(id string) {
		f.alter(func(r *rig.Rig) { r.InputChannel = desk.ChannelOf(id) })
	})
	f.loopback = newChoice(s, "Loopback on channel", func(id string) {
		s.run(func(ctx context.Context) error { return s.desk.SetLoopback(ctx, desk.LoopbackOf(id)) })
	})
	f.rate = newChoice(s, "Sample rate", func(id string) { f.alter(func(r *rig.Rig) { r.RateHz = desk.RateOf(id) }) })
	f.subject = newChoice(s, "What stands in it", func(id string) {
		s.run(func(ctx context.Context) error { return s.desk.PutSubject(ctx, id) })
	})
	f.place = newChoice(s, "Walls", func(id string) { f.alter(func(r *rig.Rig) { r.Fixture = id }) })
	f.fixtureKind = newChoice(s, "Kind of fixture", func(id string) { f.alter(func(r *rig.Rig) { r.FixtureKind = rig.FixtureKind(id) }) })
}

func (f *rigForm) buildTyped() {
	f.typed = newFields(f.of, rigPanelWidth-40, "Name", "Fixture", "Distance", "Serial", "Level", "Output limit", "Highest voltage", "Impedance")
	f.typed.caption("Distance", "Microphone to device, m").caption("Serial", "Serial of the unit").
		caption("Level", "Sweep level: dBFS, or as 2 V, or as 1 W").caption("Output limit", "Highest output, dBFS").
		caption("Highest voltage", "Highest output, V").caption("Impedance", "Rated impedance, Ω")
	f.typed.of["Highest voltage"].entry.SetPlaceHolder("not limited")
	f.typed.of["Impedance"].entry.SetPlaceHolder("not known")
	for _, one := range f.typed.of {
		one.entry.leave = f.useTyped
	}
}

// alter changes the rig in use through one of the choices.
func (f *rigForm) alter(change func(*rig.Rig)) {
	r := f.of.desk.State().Rig
	change(&r)
	f.of.run(func(ctx context.Context) error { return f.of.desk.SetRig(ctx, r) })
}

// useTyped takes what was typed, when it differs from the rig.
func (f *rigForm) useTyped() {
	s := f.of
	form := desk.RigForm{Name: f.typed.text("Name"), Fixture: f.typed.text("Fixture"), DistanceM: f.typed.text("Distance"),
		LevelDBFS: f.typed.text("Level"), LimitDBFS: f.typed.text("Output limit"), Serial: f.typed.text("Serial"),
		MaxVolts: f.typed.text("Highest voltage"), ImpedanceOhm: f.typed.text("Impedance")}
	if form == s.desk.State().RigForm() {
		f.mark(nil)
		return
	}
	s.run(func(ctx context.Context) error {
		wrong, err := s.desk.SetRigForm(ctx, form)
		s.hop.run(func() { f.mark(wrong) })
		return err
	})
}

// mark shows what is wrong in the typed lines.
func (f *rigForm) mark(wrong []desk.Field) {
	f.typed.mark(wrong)
	f.left.Refresh()
}

// mark shows what is wrong in the lines of a form.
func (f *fields) mark(wrong []desk.Field) {
	for name, one := range f.of {
		message := ""
		if i := slices.IndexFunc(wrong, func(w desk.Field) bool { return w.Name == name }); i >= 0 {
			message = wrong[i].Message
		}
		one.wrong(message)
	}
}

// showRig brings the column up to date.
func (f *rigForm) showRig(s desk.State) {
	f.kind.set(desk.Kinds(), s.Rig.Kind)
	f.output.set(s.Outputs(), s.Rig.OutputDevice)
	f.input.set(s.Inputs(), s.Rig.InputDevice)
	f.outputChannel.set(s.OutputChannels(), s.OutputChannelID())
	f.inputChannel.set(s.InputChannels(), s.InputChannelID())
	f.loopback.set(s.Loopbacks(), s.LoopbackID())
	f.rate.set(s.Rates(), s.RateID())
	f.subject.set(desk.Subjects(), s.Rig.Simulated.Subject)
	f.place.set(s.Places(), s.Rig.Fixture)
	f.fixtureKind.set(desk.FixtureKinds(), string(s.Rig.FixtureKind))
	f.microphones.set(s)
	f.showTyped(s.RigForm())
	real := s.Rig.Kind != desk.Simulated
	show(real, f.hardware, f.typed.of["Fixture"].box)
	show(!real, f.simulated)
	f.left.Refresh()
}

// show shows objects, or hides them.
func show(on bool, objects ...fyne.CanvasObject) {
	for _, o := range objects {
		if on {
			o.Show()
		} else {
			o.Hide()
		}
	}
}

func (f *rigForm) showTyped(form desk.RigForm) {
	focused := f.of.window.Canvas().Focused()
	for name, text := range map[string]string{"Name": form.Name, "Fixture": form.Fixture, "Distance": form.DistanceM,
		"Serial": form.Serial, "Level": form.LevelDBFS, "Output limit": form.LimitDBFS, "Highest voltage": form.MaxVolts, "Impedance": form.ImpedanceOhm} {
		e := f.typed.of[name].entry
		e.setText(text, focused == fyne.Focusable(e))
	}
}

// microphoneRows are the microphones besides the first: channel, name, place.
type microphoneRows struct {
	of   *shell
	box  *fyne.Container
	rows []microphoneRow
}

type microphoneRow struct {
	channel     *choice
	name, place *field
}

func newMicrophoneRows(s *shell) *microphoneRows {
	return &microphoneRows{of: s, box: newColumn(10, 280)}
}

// set shows the microphones; lines are made anew only where their number changed.
func (m *microphoneRows) set(s desk.State) {
	forms := s.MicrophoneForms()
	if len(forms) != len(m.rows) || len(m.box.Objects) == 0 {
		m.rebuild(len(forms))
	}
	focused := m.of.window.Canvas().Focused()
	for i, f := range forms {
		row := m.rows[i]
		row.channel.set(s.InputChannels(), f.Channel)
		row.name.entry.setText(f.Name, focused == fyne.Focusable(row.name.entry))
		row.place.entry.setText(f.Place, focused == fyne.Focusable(row.place.entry))
	}
}

func (m *microphoneRows) rebuild(n int) {
	s := m.of
	m.rows, m.box.Objects = nil, nil
	for i := range n {
		row := microphoneRow{name: newField(s, "Name", 100), place: newField(s, "Place", 100)}
		row.channel = newChoice(s, "Channel", func(id string) {
			m.use(func(f []desk.MicrophoneForm) []desk.MicrophoneForm { f[i].Channel = id; return f })
		})
		for _, e := range []*entry{row.name.entry, row.place.entry} {
			e.leave = func() { m.use(nil) }
		}
		m.rows = append(m.rows, row)
		remove := container.NewHBox(newTextLink(s.look, "Take it away", func() {
			m.use(func(f []desk.MicrophoneForm) []desk.MicrophoneForm { return append(f[:i:i], f[i+1:]...) })
		}))
		title := newLine(s.look, roleCaption, fmt.Sprintf("Microphone %d", i+2))
		m.box.Add(newColumn(5, 280, title, thirds(row.channel.box, row.name.box, row.place.box), remove))
	}
	m.box.Add(container.NewHBox(newTextLink(s.look, "Add a microphone", func() { s.run(s.desk.AddMicrophone) })))
	m.box.Refresh()
}

// use takes the lines as they are, after a change.
func (m *microphoneRows) use(change func([]desk.MicrophoneForm) []desk.MicrophoneForm) {
	was := m.of.desk.State().MicrophoneForms()
	if len(was) != len(m.rows) {
		return
	}
	now := slices.Clone(was)
	for i, row := range m.rows {
		now[i].Name, now[i].Place = row.name.entry.Text, row.place.entry.Text
	}
	if change != nil {
		now = change(now)
	}
	if slices.Equal(was, now) {
		return
	}
	m.of.run(func(ctx context.Context) error { return m.of.desk.SetMicrophones(ctx, now) })
}

// thirds sets three objects beside each other, the first one narrow.
func thirds(boxes ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: thirdsLayout{}, Objects: boxes}
}

type thirdsLayout struct{}

func (thirdsLayout) widths(w float32) [3]float32 {
	rest := (w - 76 - 16) / 2
	return [3]float32{76, rest, rest}
}

func (l thirdsLayout) heightFor(o []fyne.CanvasObject, w float32) float32 {
	h := float32(0)
	for i, x := range o {
		h = max(h, heightOf(x, l.widths(w)[i]))
	}
	return h
}

func (l thirdsLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(260, l.heightFor(o, 280))
}

func (l thirdsLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	x := float32(0)
	for i, w := range l.widths(s.Width) {
		o[i].Move(fyne.NewPos(x, 0))
		o[i].Resize(fyne.NewSize(w, heightOf(o[i], w)))
		x += w + 8
	}
}
