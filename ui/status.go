package ui

import (
	"image/color"

	"fyne.io/fyne/v2"

	"stillroom/app/desk"
)

// statusBar is the line at the foot: the rig, what levels mean, the input meter.
type statusBar struct {
	look  *look
	box   *fyne.Container
	mark  *icon
	rig   *line
	rate  *line
	place *line
	meter *meter
	level *line
	ready bool
}

func newStatusBar(s *shell) *statusBar {
	l := s.look
	b := &statusBar{look: l, ready: true}
	b.mark = newIcon("pass", 14, func() color.NRGBA { return verdictColor(l, b.verdict())() })
	b.rig = newLine(l, roleCaption, "")
	b.rate, b.place = newLine(l, roleCaption, ""), newFlexLine(l, roleCaption, "")
	b.meter, b.level = newMeter(l, 180), newLine(l, roleMonoSecond, "off")
	edge := newPlate(12, 1, func() (color.Color, color.Color) { return l.Panel, l.field })
	chip := newOverlaid(edge, newInset(10, 4, 12, 4, newRow(6, b.mark, b.rig)))
	level := &fyne.Container{Layout: &fixedWidth{88}, Objects: []fyne.CanvasObject{b.level.right()}}
	b.box = newInset(gap+2, 3, gap+2, 3, newStretchRow(18, 2,
		chip, b.rate, b.place, newLine(l, roleCaption, "Input"), b.meter, level, newLine(l, roleCaption, "Esc stops the sound")))
	return b
}

func (b *statusBar) verdict() string {
	if b.ready {
		return desk.Clean
	}
	return desk.Remark
}

func (b *statusBar) show(s desk.State, t desk.Topic) {
	if t&(desk.RigTopic|desk.SubjectTopic) != 0 {
		text, ready := s.RigLine()
		b.ready = ready
		b.rig.set(text)
		b.mark.set(verdictIcon(b.verdict()))
		b.mark.Refresh()
		b.rate.set(s.RateLine())
		b.place.set("not calibrated")
		b.box.Refresh()
	}
	if t&(desk.LevelTopic|desk.WorkTopic) != 0 {
		filled, hold := s.Level.Bar()
		b.meter.set(filled, hold, s.Level.Hot())
		b.level.set(s.Level.Text())
	}
}

// fixedWidth keeps the width of what changes, so that nothing beside it jitters.
type fixedWidth struct{ width float32 }

func (f *fixedWidth) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(f.width, o[0].MinSize().Height)
}

func (f *fixedWidth) Layout(o []fyne.CanvasObject, s fyne.Size) { o[0].Resize(s) }
