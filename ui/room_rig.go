package ui

import (
	"context"
	"image/color"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"stillroom/app/desk"
)

// rigView is the room where the way of measuring is chosen and tried.
type rigView struct {
	shell *shell

	rig     *choice
	fixture *headItem
	heads   *fyne.Container
	bodies  fyne.CanvasObject

	kind, output, outputChannel, input, inputChannel, rate, subject, place *choice
	typed                                                                  *fields
	hardware, simulated                                                    *fyne.Container
	left                                                                   *fyne.Container

	devices *step
	level   *step
	input2  *step
	tone    *step
	meter   *meter
	reading *line
	listen  *button
	play    *button
	toneOf  *fields
	right   *fyne.Container
}

const rigPanelWidth = 330

func newRigRoom(s *shell) *rigView {
	v := &rigView{shell: s}
	v.buildHead()
	v.buildChoices()
	v.buildSteps()
	ground := newGround(func() color.Color { return s.look.Panel })
	caution := newInset(0, 8, 13, 8, newCaution(s.look, desk.LoudCaution, rigPanelWidth-34))
	list := container.NewVScroll(newInset(0, 0, 13, 8, v.left))
	panel := newOverlaid(ground, newInset(17, 12, 4, 6, &fyne.Container{Layout: pinned{}, Objects: []fyne.CanvasObject{list, caution}}))
	steps := container.NewVScroll(newInset(gap, 12, gap+1, 12, v.right))
	v.bodies = &fyne.Container{Layout: &panelLeft{}, Objects: []fyne.CanvasObject{panel, newHairline(s.look), steps}}
	return v
}

func (v *rigView) name() string            { return "Rig" }
func (v *rigView) icon() string            { return "rig" }
func (v *rigView) head() fyne.CanvasObject { return v.heads }
func (v *rigView) body() fyne.CanvasObject { return v.bodies }

// panelLeft gives the first object a panel's width at the left.
type panelLeft struct{}

func (panelLeft) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(rigPanelWidth+300, 300) }

func (panelLeft) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Resize(fyne.NewSize(rigPanelWidth, s.Height))
	o[1].Move(fyne.NewPos(rigPanelWidth, 0))
	o[1].Resize(fyne.NewSize(1, s.Height))
	o[2].Move(fyne.NewPos(rigPanelWidth+1, 0))
	o[2].Resize(fyne.NewSize(s.Width-rigPanelWidth-1, s.Height))
}

func (v *rigView) buildHead() {
	s := v.shell
	v.rig = newChoice(s, "Rig", func(name string) {
		s.run(func(ctx context.Context) error { return s.desk.UseRig(ctx, name) })
	})
	v.fixture = newHeadItem(s.look, "Fixture")
	chooser := &fyne.Container{Layout: &wide{230}, Objects: []fyne.CanvasObject{v.rig.edged}}
	fresh := s.secondary("New rig", func() {
		s.run(func(ctx context.Context) error { return s.desk.AddRig(ctx, false) })
	})
	double := s.secondary("Duplicate", func() {
		s.run(func(ctx context.Context) error { return s.desk.AddRig(ctx, true) })
	})
	measure := s.primary("Measure", "Space", s.measure)
	v.heads = newStretchRow(14, 1, chooser, v.fixture.box, fresh, double, measure)
}

// pinned gives the second object the height it needs at the foot, and the first
// one the rest.
type pinned struct{}

func (pinned) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(200, 200) }

func (pinned) Layout(o []fyne.CanvasObject, s fyne.Size) {
	foot := heightOf(o[1], s.Width)
	o[0].Resize(fyne.NewSize(s.Width, s.Height-foot))
	o[1].Move(fyne.NewPos(0, s.Height-foot))
	o[1].Resize(fyne.NewSize(s.Width, foot))
}

// wide gives one object a fixed width and its own height.
type wide struct{ width float32 }

func (w *wide) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(w.width, o[0].MinSize().Height)
}

func (w *wide) Layout(o []fyne.CanvasObject, s fyne.Size) { o[0].Resize(s) }

// alter changes the rig in use through one of the choices.
func (v *rigView) alter(f func(*desk.State)) {
	s := v.shell
	st := s.desk.State()
	f(&st)
	s.run(func(ctx context.Context) error { return s.desk.SetRig(ctx, st.Rig) })
}

func (v *rigView) buildChoices() {
	s := v.shell
	v.kind = newChoice(s, "Kind", func(id string) {
		s.run(func(ctx context.Context) error { return s.desk.SetKind(ctx, id) })
	})
	v.output = newChoice(s, "Output", func(id string) { v.alter(func(st *desk.State) { st.Rig.OutputDevice = id }) })
	v.input = newChoice(s, "Input", func(id string) { v.alter(func(st *desk.State) { st.Rig.InputDevice = id }) })
	v.outputChannel = newChoice(s, "Drive on channel", func(id string) {
		v.alter(func(st *desk.State) { st.Rig.OutputChannel = desk.ChannelOf(id) })
	})
	v.inputChannel = newChoice(s, "Microphone on channel", func(id string) {
		v.alter(func(st *desk.State) { st.Rig.InputChannel = desk.ChannelOf(id) })
	})
	v.rate = newChoice(s, "Sample rate", func(id string) { v.alter(func(st *desk.State) { st.Rig.RateHz = desk.RateOf(id) }) })
	v.subject = newChoice(s, "What stands in it", func(id string) {
		s.run(func(ctx context.Context) error { return s.desk.PutSubject(ctx, id) })
	})
	v.place = newChoice(s, "Place", func(id string) { v.alter(func(st *desk.State) { st.Rig.Fixture = id }) })
	v.typed = newFields(s, rigPanelWidth-40, "Name", "Fixture", "Distance", "Serial", "Level", "Output limit")
	v.typed.caption("Distance", "Microphone to device, m").caption("Serial", "Serial of the unit").
		caption("Level", "Sweep level, dBFS").caption("Output limit", "Highest output, dBFS")
	for _, f := range v.typed.of {
		f.entry.leave = v.useTyped
	}
	v.hardware = newColumn(12, 280, v.output.box, v.outputChannel.box, v.input.box, v.inputChannel.box)
	v.simulated = newColumn(12, 280, v.subject.box, v.typed.of["Serial"].box, v.place.box)
	v.left = newColumn(12, rigPanelWidth-40, newLine(s.look, roleTitle, "Sound"), v.kind.box, v.hardware, v.simulated, v.rate.box,
		spacer(0, 4), newLine(s.look, roleTitle, "Place"), v.typed.of["Name"].box, v.typed.of["Fixture"].box, v.typed.of["Distance"].box)
}

// useTyped takes what was typed, when it differs from the rig.
func (v *rigView) useTyped() {
	s := v.shell
	f := desk.RigForm{Name: v.typed.text("Name"), Fixture: v.typed.text("Fixture"), DistanceM: v.typed.text("Distance"),
		LevelDBFS: v.typed.text("Level"), LimitDBFS: v.typed.text("Output limit"), Serial: v.typed.text("Serial")}
	if f == s.desk.State().RigForm() {
		v.mark(nil)
		return
	}
	s.run(func(ctx context.Context) error {
		wrong, err := s.desk.SetRigForm(ctx, f)
		s.hop.run(func() { v.mark(wrong) })
		return err
	})
}

// mark shows what is wrong in the typed lines.
func (v *rigView) mark(wrong []desk.Field) {
	for name, f := range v.typed.of {
		message := ""
		if i := slices.IndexFunc(wrong, func(w desk.Field) bool { return w.Name == name }); i >= 0 {
			message = wrong[i].Message
		}
		f.wrong(message)
	}
	v.left.Refresh()
	v.right.Refresh()
}

// show brings the room up to date.
func (v *rigView) show(s desk.State, t desk.Topic) {
	if t&desk.RigTopic != 0 {
		v.showRig(s)
	}
	if t&(desk.LevelTopic|desk.WorkTopic) != 0 {
		v.showLevel(s)
	}
}

func (v *rigView) showRig(s desk.State) {
	v.rig.set(s.RigChoices(), s.Rig.Name)
	v.fixture.value.set(s.Rig.Fixture)
	v.kind.set(desk.Kinds(), s.Rig.Kind)
	v.output.set(s.Outputs(), s.Rig.OutputDevice)
	v.input.set(s.Inputs(), s.Rig.InputDevice)
	v.outputChannel.set(s.OutputChannels(), s.OutputChannelID())
	v.inputChannel.set(s.InputChannels(), s.InputChannelID())
	v.rate.set(s.Rates(), s.RateID())
	v.subject.set(desk.Subjects(), s.Rig.Simulated.Subject)
	v.place.set(s.Places(), s.Rig.Fixture)
	v.showTyped(s.RigForm())
	if s.Rig.Kind == desk.Simulated {
		v.hardware.Hide()
		v.simulated.Show()
		v.typed.of["Fixture"].box.Hide()
	} else {
		v.typed.of["Fixture"].box.Show()
		v.hardware.Show()
		v.simulated.Hide()
	}
	title, text, ready := s.DeviceLine()
	v.devices.set(verdictOf(ready), title, text)
	v.left.Refresh()
	v.right.Refresh()
	v.heads.Refresh()
}

func (v *rigView) showTyped(f desk.RigForm) {
	focused := v.shell.window.Canvas().Focused()
	for name, text := range map[string]string{"Name": f.Name, "Fixture": f.Fixture, "Distance": f.DistanceM,
		"Serial": f.Serial, "Level": f.LevelDBFS, "Output limit": f.LimitDBFS} {
		e := v.typed.of[name].entry
		e.setText(text, focused == fyne.Focusable(e))
	}
}

func (v *rigView) showLevel(s desk.State) {
	filled, hold := s.Level.Bar()
	v.meter.set(filled, hold, s.Level.Hot())
	v.reading.set(s.Level.Text())
	v.listen.set("Listen", "", s.Work == desk.Idle)
	v.play.set("Play tone", "", s.Work == desk.Idle || s.Work == desk.Listening)
	switch s.Work {
	case desk.Listening:
		v.listen.set("Stop", "Esc", true)
	case desk.Sounding:
		v.play.set("Stop", "Esc", true)
	}
	v.right.Refresh()
}

func verdictOf(ready bool) string {
	if ready {
		return desk.Clean
	}
	return desk.Remark
}

// key does nothing: the room has no keys of its own.
func (v *rigView) key(*fyne.KeyEvent) bool { return false }
