package ui

import (
	"context"
	"image/color"

	"fyne.io/fyne/v2"

	"stillroom/app/desk"
)

// step is a card of the Rig room: a mark, what it is, what to know, and keys at
// the right. More may stand below.
type step struct {
	look    *look
	box     *fyne.Container
	mark    *icon
	verdict string
	title   *line
	text    *paragraph
}

func newStep(l *look, title, text string, keys fyne.CanvasObject, below ...fyne.CanvasObject) *step {
	p := &step{look: l, verdict: desk.Noted, title: newLine(l, roleStrong, title), text: newParagraph(l, roleSecond, "", text, 560)}
	p.mark = newIcon(verdictIcon(p.verdict), 20, func() color.NRGBA { return verdictColor(l, p.verdict)() })
	words := newColumn(3, 560, append([]fyne.CanvasObject{p.title, p.text}, below...)...)
	p.box = newCard(l, newInset(18, 15, 18, 16, &fyne.Container{Layout: &stepLayout{}, Objects: []fyne.CanvasObject{p.mark, words, keys}}))
	return p
}

// set changes what the card says.
func (p *step) set(verdict, title, text string) {
	p.verdict = verdict
	p.mark.set(verdictIcon(verdict))
	p.mark.Refresh()
	p.title.set(title)
	p.text.set("", text)
}

// stepLayout puts a mark at the left, keys at the right, words between.
type stepLayout struct{}

const stepIndent = 36

func (stepLayout) room(o []fyne.CanvasObject, width float32) float32 {
	w := width - stepIndent
	if keys := o[2].MinSize().Width; keys > 0 {
		w -= keys + 18
	}
	return w
}

func (l stepLayout) heightFor(o []fyne.CanvasObject, width float32) float32 {
	return max(heightOf(o[1], l.room(o, width)), o[2].MinSize().Height)
}

func (l stepLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(420, l.heightFor(o, 620))
}

func (l stepLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Resize(fyne.NewSquareSize(20))
	o[0].Move(fyne.NewPos(0, 1))
	o[1].Move(fyne.NewPos(stepIndent, 0))
	o[1].Resize(fyne.NewSize(l.room(o, s.Width), s.Height))
	keys := o[2].MinSize()
	o[2].Move(fyne.NewPos(s.Width-keys.Width, 0))
	o[2].Resize(keys)
}

// buildSteps makes the cards at the right.
func (v *rigView) buildSteps() {
	s := v.shell
	l := s.look
	v.devices = newStep(l, "", "", s.secondary("Look again", func() {
		s.run(func(ctx context.Context) error { s.desk.Rescan(ctx); return nil })
	}))
	v.typed.of["Level"].box.Resize(fyne.NewSize(160, 40))
	v.level = newStep(l, "Level and limit", desk.LevelAdvice, spacer(0, 0), spacer(0, 6),
		newThird(v.typed.of["Level"].box, v.typed.of["Output limit"].box))
	v.meter, v.reading = newMeter(l, 380), newLine(l, roleMonoBig, "off")
	v.listen = s.secondary("Listen", v.listenOrStop)
	v.input2 = newStep(l, "Input level", "Only listens: nothing is played. Clap, speak, or play something to see it move.", fixedKey(v.listen), spacer(0, 8),
		newStretchRow(16, 0, v.meter, &fyne.Container{Layout: &fixedWidth{110}, Objects: []fyne.CanvasObject{v.reading.right()}}))
	v.toneOf = newFields(s, 180, "Frequency", "Tone level")
	v.toneOf.caption("Frequency", "Frequency, Hz").caption("Tone level", "Level, dBFS")
	v.toneOf.fill(map[string]string{"Frequency": "1000", "Tone level": "-40"})
	v.play = s.secondary("Play tone", v.playOrStop)
	v.tone = newStep(l, "Test tone", "A steady tone on the drive channel. It ends by itself after 30 s.", fixedKey(v.play), spacer(0, 6),
		newThird(v.toneOf.of["Frequency"].box, v.toneOf.of["Tone level"].box), spacer(0, 6), newCaution(l, desk.DriverCaution, 520))
	calibration := newStep(l, "Not calibrated", desk.CalibrationLine, spacer(0, 0))
	calibration.set(desk.Remark, "Not calibrated", desk.CalibrationLine)
	v.right = newColumn(10, 700, v.devices.box, v.level.box, v.input2.box, v.tone.box, calibration.box)
}

// fixedKey keeps a key as wide whatever it says.
func fixedKey(b *button) *fyne.Container {
	return &fyne.Container{Layout: &fixedWidth{124}, Objects: []fyne.CanvasObject{b}}
}

// newThird sets two fields beside each other, each of a fixed width.
func newThird(a, b fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &fieldPair{170, 16}, Objects: []fyne.CanvasObject{a, b}}
}

type fieldPair struct{ width, space float32 }

func (p *fieldPair) heightFor(o []fyne.CanvasObject, _ float32) float32 {
	return max(heightOf(o[0], p.width), heightOf(o[1], p.width))
}

func (p *fieldPair) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(2*p.width+p.space, p.heightFor(o, 0))
}

func (p *fieldPair) Layout(o []fyne.CanvasObject, s fyne.Size) {
	for i, f := range o {
		f.Move(fyne.NewPos(float32(i)*(p.width+p.space), 0))
		f.Resize(fyne.NewSize(p.width, heightOf(f, p.width)))
	}
}

func (v *rigView) listenOrStop() {
	s := v.shell
	if s.desk.State().Work == desk.Listening {
		s.desk.Cancel()
		return
	}
	s.run(s.desk.MeterRun)
}

func (v *rigView) playOrStop() {
	s := v.shell
	if s.desk.State().Work == desk.Sounding {
		s.desk.Cancel()
		return
	}
	tone, wrong := s.desk.State().ReadTone(desk.ToneForm{FrequencyHz: v.toneOf.text("Frequency"), LevelDBFS: v.toneOf.text("Tone level")})
	for name, f := range v.toneOf.of {
		f.wrong("")
		for _, w := range wrong {
			if w.Name == name {
				f.wrong(w.Message)
			}
		}
	}
	v.right.Refresh()
	if len(wrong) == 0 {
		s.run(func(ctx context.Context) error { return s.desk.ToneRun(ctx, tone) })
	}
}
