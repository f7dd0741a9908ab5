package ui

import (
	"context"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"stillroom/app/desk"
)

// pages are what the pages of the cards hold besides text and picture.
type pages struct {
	output     *fields
	calibrator *fields
	putOn      *choice // on the microphone of a simulated rig
	putOnID    string
	sheet      *fields
	curve      *fields
	fixture    *fields
	remove     *button // takes the fixture's response away
	alone      *choice // what hangs on the output during the tone
	aloneID    string
	angle      *choice
	wire       *choice
	wireTo     string // the input that is chosen in wire
	looked     []*choice
}

// buildCards makes the cards at the right.
func (v *rigView) buildCards() {
	s := v.shell
	p := &pages{}
	v.pages = p
	v.devices = newStep(s.look, s.secondary("Look again", func() {
		s.run(func(ctx context.Context) error { s.desk.Rescan(ctx); return nil })
	}))
	v.cards = []*benchCard{
		newBenchCard(s, desk.OutputCard, v.outputSteps(), v.outputPage()),
		newBenchCard(s, desk.InterfaceCard, v.interfaceSteps(), v.interfacePage()),
		newBenchCard(s, desk.InputCard, v.inputSteps(), v.inputPage()),
		newBenchCard(s, desk.CurveCard, v.curveSteps(), v.curvePage()),
		newBenchCard(s, desk.FixtureCard, v.fixtureSteps(), v.fixturePage()),
		newBenchCard(s, desk.NoiseCard, cardSteps{start: "Listen", run: func() { s.run(s.desk.HearNoise) }, refill: v.refillLooked}, v.lookedAt()),
		newBenchCard(s, desk.LevelCard, cardSteps{start: "Start", run: func() { s.sounding(s.desk.State().CheckLevelTop(), s.desk.CheckLevel) }}, nil),
	}
	v.right = newColumn(10, 700, v.devices.box)
	for _, c := range v.cards {
		v.right.Add(c.box)
	}
}

func (v *rigView) refresh() { v.right.Refresh() }

// outputForm is what is typed on the card of the output.
func (v *rigView) outputForm() desk.OutputForm {
	f := v.pages.output
	return desk.OutputForm{FrequencyHz: f.text("Frequency"), LevelDBFS: f.text("Tone level"), Volts: f.text("Volts"), Alone: v.pages.aloneID == "alone"}
}

func (v *rigView) outputSteps() cardSteps {
	s := v.shell
	return cardSteps{start: "Play tone", run: func() {
		f := v.outputForm()
		s.sounding(s.desk.State().CheckLevelTop(), func(ctx context.Context) error {
			wrong, err := s.desk.PlayTone(ctx, f)
			s.hop.run(func() { v.pages.output.mark(wrong); v.refresh() })
			return err
		})
	}, refill: func(st desk.State) {
		v.pages.alone.set(desk.ConnectedChoices(), v.pages.aloneID)
		show(st.Limited(), v.pages.alone.box)
	}}
}

func (v *rigView) outputPage() fyne.CanvasObject {
	s := v.shell
	f := newFields(s, 130, "Frequency", "Tone level", "Volts")
	f.caption("Frequency", "Tone, Hz").caption("Tone level", "Level, dBFS").caption("Volts", "The voltmeter says, V")
	form := s.desk.State().OutputForm()
	f.fill(map[string]string{"Frequency": form.FrequencyHz, "Tone level": form.LevelDBFS})
	v.pages.output = f
	use := func() {
		typed := v.outputForm()
		s.runForm(f, v.refresh, func(context.Context) ([]desk.Field, error) { return s.desk.ReadVolts(typed) })
	}
	f.of["Volts"].entry.OnSubmitted = func(string) { use() }
	v.pages.aloneID = "unit"
	v.pages.alone = newChoice(s, "What hangs on the output", func(id string) { v.pages.aloneID = id })
	return newColumn(8, 420, abreast(316, v.pages.alone.box), abreast(150, f.boxes("Frequency", "Tone level", "Volts")...), newRow(0, s.secondary("Take this reading", use)))
}

func (v *rigView) interfaceSteps() cardSteps {
	s := v.shell
	return cardSteps{start: "Start", run: func() {
		to := v.pages.wireTo
		s.sounding(s.desk.State().CheckLevelTop(), func(ctx context.Context) error {
			return s.desk.MeasureInterface(ctx, desk.WireForm{Channel: to})
		})
	}, refill: func(st desk.State) {
		list := st.Wires()
		known := false
		for _, c := range list {
			known = known || c.ID == v.pages.wireTo
		}
		if !known && len(list) > 0 {
			v.pages.wireTo = list[0].ID
		}
		v.pages.wire.set(list, v.pages.wireTo)
	}}
}

func (v *rigView) interfacePage() fyne.CanvasObject {
	v.pages.wire = newChoice(v.shell, "The wire goes to", func(id string) { v.pages.wireTo = id })
	return abreast(316, v.pages.wire.box)
}

func (v *rigView) inputSteps() cardSteps {
	s := v.shell
	return cardSteps{start: "Listen", run: func() {
		f := desk.CalibratorForm{LevelDB: v.pages.calibrator.text("Calibrator"), PutOn: v.pages.putOnID}
		s.runForm(v.pages.calibrator, v.refresh, func(ctx context.Context) ([]desk.Field, error) { return s.desk.HearCalibrator(ctx, f) })
	}, refill: func(st desk.State) {
		v.refillLooked(st)
		list := st.PutOnChoices()
		v.pages.putOn.set(list, v.pages.putOnID)
		show(len(list) > 0, v.pages.putOn.box)
	}}
}

func (v *rigView) inputPage() fyne.CanvasObject {
	s := v.shell
	v.pages.calibrator = newFields(s, 150, "Calibrator")
	v.pages.calibrator.caption("Calibrator", "The calibrator makes, dB")
	v.pages.calibrator.of["Calibrator"].entry.SetPlaceHolder("94 or 114, found")
	v.pages.calibrator.of["Calibrator"].entry.OnSubmitted = func(string) { v.inputCard().press() }
	v.pages.putOnID = "none"
	v.pages.putOn = newChoice(s, "On the simulated microphone", func(id string) { v.pages.putOnID = id; v.show(s.desk.State(), desk.BenchTopic) })
	f := newFields(s, 150, "Sensitivity", "Gain", "Full scale")
	f.caption("Sensitivity", "Sensitivity, mV/Pa").caption("Gain", "Preamplifier gain, dB").caption("Full scale", "Input at full scale, V")
	form := s.desk.State().SheetForm()
	f.fill(map[string]string{"Sensitivity": form.MilliVoltsPerPa, "Gain": form.GainDB, "Full scale": form.VoltsAtFS})
	v.pages.sheet = f
	use := func() {
		typed := desk.SheetForm{MilliVoltsPerPa: f.text("Sensitivity"), GainDB: f.text("Gain"), VoltsAtFS: f.text("Full scale")}
		s.runForm(f, v.refresh, func(context.Context) ([]desk.Field, error) { return s.desk.UseSheet(typed) })
	}
	for _, name := range []string{"Sensitivity", "Gain", "Full scale"} {
		f.of[name].entry.OnSubmitted = func(string) { use() }
	}
	return newColumn(9, 420, v.lookedAt(), abreast(316, v.pages.putOn.box), abreast(170, v.pages.calibrator.of["Calibrator"].box),
		newLine(s.look, roleTitle, "Or from the microphone's sheet"),
		abreast(150, f.boxes("Sensitivity", "Gain", "Full scale")...), newRow(0, s.secondary("Take these figures", use)))
}

func (v *rigView) inputCard() *benchCard { return v.cards[2] }

func (v *rigView) curveSteps() cardSteps {
	s := v.shell
	return cardSteps{start: "Read", run: func() {
		f := v.pages.curve
		typed := desk.CurveForm{Path: f.text("File"), AngleDeg: f.text("Angle"), Name: f.text("Microphone"), Serial: f.text("Serial")}
		s.runForm(f, v.refresh, func(context.Context) ([]desk.Field, error) { return s.desk.ReadCurveFile(typed) })
	}, refill: func(st desk.State) {
		list, inUse := st.AngleChoices()
		v.pages.angle.set(list, inUse)
		show(len(list) > 0, v.pages.angle.box)
		v.refillLooked(st)
	}}
}

func (v *rigView) curvePage() fyne.CanvasObject {
	s := v.shell
	f := newFields(s, 150, "File", "Angle", "Microphone", "Serial")
	f.caption("File", "File, or its path").caption("Angle", "Angle, °").caption("Microphone", "Microphone")
	f.fill(map[string]string{"Angle": "0"})
	f.of["File"].entry.SetPlaceHolder("paste a path, or choose")
	v.pages.curve = f
	for _, one := range f.of {
		one.entry.OnSubmitted = func(string) { v.curveCard().press() }
	}
	v.pages.angle = newChoice(s, "Angle in use", func(id string) {
		s.run(func(ctx context.Context) error { return s.desk.UseAngle(ctx, id) })
	})
	pick := s.secondary("Choose a file …", func() { s.pickFile(f.of["File"].entry) })
	return newColumn(9, 420, v.lookedAt(), f.of["File"].box, newRow(0, pick), abreast(150, f.boxes("Angle", "Microphone", "Serial")...), abreast(316, v.pages.angle.box))
}

func (v *rigView) curveCard() *benchCard { return v.cards[3] }

// lookedAt is the choice of a microphone, on each card that is about one.
func (v *rigView) lookedAt() fyne.CanvasObject {
	s := v.shell
	c := newChoice(s, "Which microphone", func(id string) { s.desk.LookAt(desk.ChannelOf(id)) })
	v.pages.looked = append(v.pages.looked, c)
	return abreast(316, c.box)
}

// refillLooked shows the microphones; with one there is nothing to choose.
func (v *rigView) refillLooked(st desk.State) {
	list := st.Looked()
	for _, c := range v.pages.looked {
		c.set(list, st.LookedID())
		show(len(list) > 1, c.box)
	}
}

// abreast sets fields of one width beside each other.
func abreast(width float32, boxes ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &abreastLayout{width, 14}, Objects: boxes}
}

type abreastLayout struct{ width, space float32 }

// each is the width of one field in a place.
func (a *abreastLayout) each(n int, width float32) float32 {
	return min(a.width, (width-a.space*float32(n-1))/float32(max(n, 1)))
}

func (a *abreastLayout) heightFor(o []fyne.CanvasObject, width float32) float32 {
	h := float32(0)
	for _, x := range o {
		if x.Visible() {
			h = max(h, heightOf(x, a.each(len(o), width)))
		}
	}
	return h
}

func (a *abreastLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(100, a.heightFor(o, 480))
}

func (a *abreastLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	w := a.each(len(o), s.Width)
	for i, x := range o {
		x.Move(fyne.NewPos(float32(i)*(w+a.space), 0))
		x.Resize(fyne.NewSize(w, heightOf(x, w)))
	}
}

// place is something of the bench that a script may press.
type place struct {
	name   string
	object fyne.CanvasObject
}

// places lists what can be pressed on the bench now.
func (v *rigView) places() []place {
	var list []place
	for _, c := range v.cards {
		list = append(list, place{"open-" + string(c.card), c.title})
		if c.open {
			list = append(list, place{"key-" + string(c.card), c.first})
		}
	}
	forms := map[desk.Card]*fields{desk.OutputCard: v.pages.output, desk.InputCard: v.pages.sheet, desk.CurveCard: v.pages.curve, desk.FixtureCard: v.pages.fixture}
	for _, c := range v.cards {
		if c.card == desk.InputCard && c.open {
			list = append(list, place{"Calibrator", v.pages.calibrator.of["Calibrator"].entry}, place{"put-on", v.pages.putOn.drop})
		}
		if f := forms[c.card]; f != nil && c.open {
			for _, name := range f.names {
				list = append(list, place{strings.ReplaceAll(name, " ", "-"), f.of[name].entry})
			}
		}
	}
	return list
}

// listenKey is the word in the status bar that starts the input meter, or stops it.
func (s *shell) listenKey() *textLink {
	return newTextLink(s.look, "Listen", func() {
		if s.desk.State().Work == desk.Listening {
			s.desk.Cancel()
			return
		}
		s.run(s.desk.MeterRun)
	})
}

// linkRow keeps a word at its own width.
func linkRow(t *textLink) *fyne.Container { return container.NewHBox(t) }
