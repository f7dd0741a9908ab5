package ui

import (
	"context"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"stillroom/app/desk"
)

// rigView is the room where the way of measuring is chosen, and calibrated card by
// card.
type rigView struct {
	shell *shell

	rig     *choice
	fixture *headItem
	check   *button
	heads   *fyne.Container
	bodies  fyne.CanvasObject

	rigForm
	caution *cautionBox
	devices *step
	cards   []*benchCard
	pages   *pages
	right   *fyne.Container
}

const rigPanelWidth = 330

func newRigRoom(s *shell) *rigView {
	v := &rigView{shell: s}
	v.buildHead()
	v.rigForm.build(s)
	v.buildCards()
	ground := newGround(func() color.Color { return s.look.Panel })
	v.caution = newCautionBox(s.look, desk.LoudCaution, rigPanelWidth-34)
	foot := newInset(0, 8, 13, 8, v.caution.box)
	v.scroll = container.NewVScroll(newInset(0, 0, 13, 8, v.left))
	panel := newOverlaid(ground, newInset(17, 12, 4, 6, &fyne.Container{Layout: pinned{}, Objects: []fyne.CanvasObject{v.scroll, foot}}))
	cards := container.NewVScroll(newInset(gap, 12, gap+1, 12, v.right))
	v.bodies = &fyne.Container{Layout: &panelLeft{}, Objects: []fyne.CanvasObject{panel, newHairline(s.look), cards}}
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
	v.check = s.primary("Check everything", "", func() { s.sounding(s.desk.State().CheckLevelTop(), s.desk.CheckEverything) })
	v.heads = newStretchRow(14, 1, chooser, v.fixture.box, fresh, double, v.check)
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

// show brings the room up to date.
func (v *rigView) show(s desk.State, t desk.Topic) {
	if t&desk.RigTopic != 0 {
		v.showRig(s)
	}
	if t&(desk.RigTopic|desk.BenchTopic|desk.WorkTopic|desk.SubjectTopic) != 0 {
		v.showCards(s)
		v.showLimits(s)
	}
}

func (v *rigView) showRig(s desk.State) {
	v.rig.set(s.RigChoices(), s.Rig.Name)
	v.fixture.value.set(s.FixtureLine())
	v.rigForm.showRig(s)
	title, text, ready := s.DeviceLine()
	v.devices.set(verdictOf(ready), title, text)
	v.devices.box.Hidden = ready
	v.caution.set(desk.LoudCaution)
	if s.Rig.FixtureKind.Worn() {
		v.caution.set(desk.WornCaution)
	}
	v.bodies.Refresh()
	v.heads.Refresh()
}

// showCards brings the cards up to date.
func (v *rigView) showCards(s desk.State) {
	idle := s.Work == desk.Idle || s.Work == desk.Listening
	v.check.enable(idle)
	for i, c := range v.shell.desk.Cards(s) {
		v.cards[i].show(s, c, idle)
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
