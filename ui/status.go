package ui

import (
	"image/color"

	"fyne.io/fyne/v2"

	"stillroom/app/desk"
)

// statusBar is the line at the foot: the rig, what levels mean, the input meter.
type statusBar struct {
	look    *look
	box     *fyne.Container
	mark    *icon
	rig     *line
	rate    *line
	mic     *line
	listen  *textLink
	meter   *meter
	level   *line
	saved   *line
	savedOK bool
	disk    *icon
	verdict string
	desk    *desk.Desk
}

func newStatusBar(s *shell) *statusBar {
	l := s.look
	b := &statusBar{look: l, verdict: desk.Clean, desk: s.desk, listen: s.listenKey()}
	b.mark = newIcon("pass", 14, func() color.NRGBA { return verdictColor(l, b.verdict)() })
	b.rig = newLine(l, roleCaption, "")
	b.rate, b.mic = newLine(l, roleCaption, ""), newFlexLine(l, roleCaption, "")
	b.saved, b.savedOK = newLine(l, roleCaption, ""), true
	b.disk = newIcon("pass", 13, func() color.NRGBA {
		if b.savedOK {
			return l.Pass
		}
		return l.Remark
	})
	b.disk.Hide()
	b.meter, b.level = newMeter(l, 170), newLine(l, roleMonoSecond, "off")
	edge := newPlate(12, 1, func() (color.Color, color.Color) { return l.Panel, l.field })
	chip := newOverlaid(edge, newInset(10, 4, 12, 4, newRow(6, b.mark, b.rig)))
	level := &fyne.Container{Layout: &fixedWidth{88}, Objects: []fyne.CanvasObject{b.level.right()}}
	b.box = newInset(gap+2, 3, gap+2, 3, newStretchRow(15, 1,
		chip, b.mic, newRow(5, b.disk, b.saved), b.rate, newLine(l, roleCaption, "Input"), linkRow(b.listen), b.meter, level, newLine(l, roleCaption, "Esc stops the sound")))
	return b
}

func (b *statusBar) show(s desk.State, t desk.Topic) {
	if t&desk.SpoolTopic != 0 {
		b.showSaved(s)
	}
	if t&(desk.RigTopic|desk.SubjectTopic) != 0 {
		c := b.desk.Chip(s)
		b.verdict = c.Verdict
		b.rig.set(c.Text)
		b.mark.set(verdictIcon(c.Verdict))
		b.mark.Refresh()
		b.rate.set(c.Rate)
		b.mic.set(c.Mic)
		b.box.Refresh()
	}
	if t&(desk.LevelTopic|desk.WorkTopic) != 0 {
		filled, hold := s.Level.Bar()
		b.meter.set(bar{filled, hold, s.Level.Floor(), s.Level.Hot(), s.Level.Over})
		b.listen.say("Listen")
		if s.Work == desk.Listening {
			b.listen.say("Stop")
		}
		b.level.set(s.Level.Text())
	}
}

// showSaved tells whether all that was kept is in the records.
func (b *statusBar) showSaved(s desk.State) {
	text, all := s.SavedLine()
	b.savedOK = all
	b.saved.set(text)
	b.disk.set("pass")
	if !all {
		b.disk.set("remark")
	}
	b.disk.Hidden = text == ""
	b.disk.Refresh()
	b.box.Refresh()
}

// fixedWidth keeps the width of what changes, so that nothing beside it jitters.
type fixedWidth struct{ width float32 }

func (f *fixedWidth) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(f.width, o[0].MinSize().Height)
}

func (f *fixedWidth) Layout(o []fyne.CanvasObject, s fyne.Size) { o[0].Resize(s) }
