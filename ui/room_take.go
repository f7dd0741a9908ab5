package ui

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"stillroom/app/desk"
)

// takeView is the room where a take is measured and looked at.
type takeView struct {
	shell *shell

	subject  []*headItem
	sweep    *headItem
	measure  *button
	edit     *button
	progress *progressBar
	heads    *fyne.Container

	time, tone *link // the charts over time, and those over frequency
	impulse    *chartView
	response   *chartView
	distortion *chartView

	seats    *seatingPanel
	findings *findings
	cursor   *readings
	figures  *readings
	octaves  *readings
	gate     *readings
	levels   *choice
	place    *choice
	trust    *textLink
	keep     *button
	discard  *button
	side     *fyne.Container
	bodies   fyne.CanvasObject
}

// startHz is where the cursor stands first.
const startHz = 1000

func newTakeRoom(s *shell) *takeView {
	v := &takeView{shell: s}
	v.buildHead()
	v.buildCharts()
	v.buildSide()
	return v
}

func (v *takeView) name() string            { return "Take" }
func (v *takeView) icon() string            { return "take" }
func (v *takeView) head() fyne.CanvasObject { return v.heads }
func (v *takeView) body() fyne.CanvasObject { return v.bodies }

func (v *takeView) buildHead() {
	l := v.shell.look
	left := newRow(16)
	for _, caption := range []string{"Model", "Serial", "Angle", "Distance"} {
		h := newHeadItem(l, caption)
		v.subject = append(v.subject, h)
		left.Add(h.box)
	}
	v.sweep = newHeadItem(l, "Sweep")
	v.sweep.caption.right()
	v.sweep.value.right()
	v.sweep.value.min, v.sweep.caption.min = 40, 40
	v.edit = v.shell.secondary("Edit", v.openEdit)
	v.measure = v.shell.primary("Measure", "Space", v.measureOrStop)
	v.progress = newProgressBar(l)
	row := newStretchRow(14, 1, left, v.sweep.box, v.edit, v.measure)
	v.heads = &fyne.Container{Layout: footed{}, Objects: []fyne.CanvasObject{row, v.progress}}
}

// footed fills its place with the first object and lays the second along its foot.
type footed struct{}

func (footed) MinSize(o []fyne.CanvasObject) fyne.Size { return o[0].MinSize() }

func (footed) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Resize(s)
	o[1].Move(fyne.NewPos(0, s.Height-3))
	o[1].Resize(fyne.NewSize(s.Width, 3))
}

func (v *takeView) buildCharts() {
	s := v.shell
	v.time = newLink(nil, nil)
	v.tone = newLink(v.snap, func(float64) { v.showCursor(s.desk.State()) })
	v.tone.cursor = startHz
	v.impulse = newChartView(s.look, v.time)
	v.impulse.gate = newGateHandles(s.look, s.desk.MoveGate)
	v.impulse.gate.dropped = func() { v.show(s.desk.State(), desk.AnalysisTopic) }
	v.response = newChartView(s.look, v.tone)
	v.distortion = newChartView(s.look, v.tone)
	sheet := &fyne.Container{Layout: &shares{gap: 11, part: []float32{0.235, 0.43, 0.335}}, Objects: []fyne.CanvasObject{
		newCard(s.look, newInset(3, 3, 3, 3, v.impulse)),
		newCard(s.look, newInset(3, 3, 3, 3, v.response)),
		newCard(s.look, newInset(3, 3, 3, 3, v.distortion)),
	}}
	v.side = newSidePanel(s.look)
	v.bodies = &fyne.Container{Layout: &panelRight{}, Objects: []fyne.CanvasObject{newInset(gap+1, 12, 12, 12, sheet), v.side}}
}

// snap puts the cursor on a point of the grid.
func (v *takeView) snap(hz float64) float64 { return desk.SnapHz(v.shell.desk.State().Analysis, hz) }

func (v *takeView) buildSide() {
	s := v.shell
	v.seats = newSeatingPanel(s)
	v.findings = newFindings(s.look)
	v.cursor, v.figures = newReadings(s.look, "At the cursor"), newReadings(s.look, "Readings")
	v.gate = newReadings(s.look, "Gate")
	change := container.NewHBox(newTextLink(s.look, "Type the gate, or change the smoothing", v.openGate))
	v.octaves = newReadings(s.look, "")
	v.levels = newChoice(s, "Levels", func(id string) { s.desk.SetLevels(desk.LevelOf(id), desk.OneMetreOf(s.desk.State().PlaceID())) })
	v.place = newChoice(s, "Told for", func(id string) { s.desk.SetLevels(desk.LevelOf(s.desk.State().LevelID()), desk.OneMetreOf(id)) })
	v.trust = newTextLink(s.look, "", func() { s.desk.SetTrust(!s.desk.State().Trust) })
	shown := newColumn(8, panelWidth-32, newLine(s.look, roleTitle, "Response"), v.levels.box, v.place.box, linkRow(v.trust), linkRow(newTextLink(s.look, "Compare with other takes (C)", v.compare)))
	lists := newColumn(17, panelWidth-32, v.seats.box, v.findings.box, v.cursor.box, shown, v.figures.box, v.octaves.box, newColumn(8, panelWidth, v.gate.box, change))
	scroll := container.NewVScroll(newInset(0, 0, 10, 8, lists))
	v.keep = s.primary("Keep take", "", v.keepTake)
	v.discard = s.secondary("Discard", v.seats.discard)
	fillSidePanel(v.side, scroll, newStretchRow(8, 0, v.keep, v.discard))
}

// newSidePanel is the panel at the right of a room.
func newSidePanel(l *look) *fyne.Container {
	ground := newGround(func() color.Color { return l.Panel })
	return &fyne.Container{Layout: sidePanel{}, Objects: []fyne.CanvasObject{ground, newHairline(l)}}
}

// fillSidePanel puts a list and, at its foot, buttons into the panel.
func fillSidePanel(p *fyne.Container, list, foot fyne.CanvasObject) {
	p.Objects = append(p.Objects[:2:2], list, foot)
}

// sidePanel lays out ground, hairline, list and foot.
type sidePanel struct{}

func (sidePanel) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(panelWidth, 200) }

func (sidePanel) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Resize(s)
	o[1].Resize(fyne.NewSize(1, s.Height))
	if len(o) < 4 {
		return
	}
	foot := o[3].MinSize().Height
	o[2].Move(fyne.NewPos(17, 14))
	o[2].Resize(fyne.NewSize(s.Width-17-6, s.Height-14-foot-26))
	o[3].Move(fyne.NewPos(17, s.Height-foot-14))
	o[3].Resize(fyne.NewSize(s.Width-17-16, foot))
}

// panelRight gives the second object a panel's width at the right.
type panelRight struct{}

func (panelRight) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(panelWidth+300, 300)
}

func (panelRight) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Resize(fyne.NewSize(s.Width-panelWidth, s.Height))
	o[1].Move(fyne.NewPos(s.Width-panelWidth, 0))
	o[1].Resize(fyne.NewSize(panelWidth, s.Height))
}

// shares stacks objects, each with its part of the height.
type shares struct {
	gap  float32
	part []float32
}

func (h *shares) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, 300) }

func (h *shares) Layout(o []fyne.CanvasObject, s fyne.Size) {
	free := s.Height - h.gap*float32(len(o)-1)
	y := float32(0)
	for i := range o {
		height := float32(int(free * h.part[i]))
		o[i].Move(fyne.NewPos(0, y))
		o[i].Resize(fyne.NewSize(s.Width, height))
		y += height + h.gap
	}
}

// show brings the room up to date.
func (v *takeView) show(s desk.State, t desk.Topic) {
	if t&(desk.SubjectTopic|desk.RigTopic|desk.TakeTopic) != 0 {
		v.showSubject(s)
	}
	if t&(desk.SubjectTopic|desk.AnalysisTopic|desk.TakeTopic|desk.RigTopic|desk.WorkTopic) != 0 {
		v.seats.show(s)
	}
	if t&(desk.SubjectTopic|desk.AnalysisTopic|desk.TakeTopic|desk.RigTopic) != 0 {
		v.levels.set(desk.LevelChoices(), s.LevelID())
		v.place.set(desk.PlaceChoices(), s.PlaceID())
		v.trust.say(s.TrustText())
	}
	if t&(desk.WorkTopic|desk.ProgressTopic|desk.SubjectTopic|desk.TakeTopic) != 0 {
		v.showWork(s)
	}
	if t&(desk.TakeTopic|desk.AnalysisTopic) != 0 {
		v.showAnalysis(s)
	}
}

func (v *takeView) showSubject(s desk.State) {
	for i, r := range s.SubjectRows() {
		v.subject[i].value.set(r.Value)
	}
	v.heads.Refresh()
}

func (v *takeView) showWork(s desk.State) {
	busy := s.Work == desk.Measuring
	v.progress.set(s.Progress.Fraction, busy)
	if busy {
		v.measure.set("Stop", "Esc", true)
		v.sweep.caption.set(s.MeasuringCaption())
		v.sweep.value.set(s.ProgressLine())
	} else {
		v.measure.set("Measure", "Space", true)
		v.sweep.caption.set(s.SweepCaption())
		v.sweep.value.set(s.SweepLine())
	}
	v.edit.enable(!busy)
	v.keep.set(s.KeepText(), "K", s.Take != nil && !s.Kept && !busy)
	v.discard.set(s.DiscardText(), "", s.Take != nil && !busy)
	v.heads.Refresh()
	v.side.Refresh()
}

func (v *takeView) showAnalysis(s desk.State) {
	a := s.Analysis
	impulse, response, distortion := s.Charts()
	if !v.impulse.gate.held {
		open, shut := desk.GateMS(a)
		v.impulse.gate.set(open, shut, a != nil)
		v.impulse.set(impulse)
	}
	v.response.set(response)
	v.distortion.set(distortion)
	v.findings.set(s.Findings(), "Nothing is measured yet. Press Space: a sweep is played, recorded and shown here.")
	v.figures.set("Readings", s.ReadingRows())
	title, octaves := s.OctaveRows()
	v.octaves.set(title, octaves)
	v.octaves.box.Hidden = len(octaves) == 0
	v.gate.set("Gate", desk.GateRows(a))
	v.showCursor(s)
	v.side.Refresh()
}

func (v *takeView) showCursor(s desk.State) {
	v.cursor.set(desk.CursorTitle(s.Analysis, v.tone.cursor), s.CursorRows(v.tone.cursor))
}

// key moves the cursor by points of the grid, and leads through a series.
func (v *takeView) key(e *fyne.KeyEvent) bool {
	steps := map[fyne.KeyName]int{fyne.KeyLeft: -1, fyne.KeyRight: 1, fyne.KeyPageDown: -8, fyne.KeyPageUp: 8}
	n, ok := steps[e.Name]
	if !ok {
		return v.takeKey(e) || v.seats.key(e)
	}
	v.tone.point(desk.StepHz(v.shell.desk.State().Analysis, v.tone.cursor, n))
	return true
}

// takeKey keeps the take in hand, or lays it on the board.
func (v *takeView) takeKey(e *fyne.KeyEvent) bool {
	s := v.shell.desk.State()
	switch {
	case s.Take == nil || s.Work == desk.Measuring:
		return false
	case e.Name == fyne.KeyC:
		v.compare()
	case e.Name == fyne.KeyK && !s.Kept:
		v.shell.hop.run(v.keepTake)
	default:
		return false
	}
	return true
}

// compare lays the take in hand on the board in Compare.
func (v *takeView) compare() { v.shell.run(v.shell.rooms[compareRoom].(*compareView).addInHand) }

// measureOrStop is the primary key of the room.
func (v *takeView) measureOrStop() {
	if v.shell.desk.State().Work == desk.Measuring {
		v.shell.desk.Cancel()
		return
	}
	v.shell.measure()
}

// keepTake keeps the take in hand; of a void one it asks why first.
func (v *takeView) keepTake() {
	s := v.shell
	st := s.desk.State()
	if !st.Void() || st.Kept {
		s.run(s.desk.Keep)
		return
	}
	f := newFields(s, 520, "Reason")
	f.caption("Reason", "Why it is kept all the same; this stays on the take for ever")
	body := newColumn(14, 520, newCautionBoxWith(s.look, "This take is void: a finding says that its result must not be used. Better mend what the finding says and measure again. A void take that is kept is marked as such wherever it is shown.", 520), f.of["Reason"].box)
	s.openForm("Keep a void take", body, f.of, f.of["Reason"].entry, func() []desk.Field {
		wrong, _ := s.desk.KeepAgainstAdvice(s.ctx, f.text("Reason")) // the desk has told the error
		return wrong
	})
}

// openEdit shows the form of what is measured next.
func (v *takeView) openEdit() {
	s := v.shell
	was := s.desk.State().TakeForm()
	f := newFields(s, 252, "Model", "Serial", "Batch", "Angle", "Sweep from", "Sweep to", "Sweep length", "Repeats", "Pause", "Note")
	f.caption("Repeats", "Repeats, 1 to 16").caption("Pause", "Pause after a sweep, s; 0: chosen").caption("Angle", "Angle, °").caption("Sweep from", "Sweep from, Hz").caption("Sweep to", "Sweep to, Hz").caption("Sweep length", "Sweep length, s")
	f.fill(map[string]string{"Model": was.Model, "Serial": was.Serial, "Batch": was.Batch, "Note": was.Note, "Angle": was.AngleDeg,
		"Sweep from": was.LowHz, "Sweep to": was.HighHz, "Sweep length": was.LengthS, "Repeats": was.Repeats, "Pause": was.PauseS})
	body := newColumn(14, 520, pairs(f.boxes("Model", "Serial", "Batch", "Angle", "Sweep from", "Sweep to", "Sweep length", "Repeats", "Pause", "Note")...),
		newParagraph(s.look, roleCaption, "", "The level belongs to the rig: change it in the Rig room.", 520))
	s.openForm("What is measured next", body, f.of, f.of["Model"].entry, func() []desk.Field {
		return s.desk.SetTakeForm(desk.TakeForm{
			Model: f.text("Model"), Serial: f.text("Serial"), Batch: f.text("Batch"), Note: f.text("Note"), AngleDeg: f.text("Angle"),
			LowHz: f.text("Sweep from"), HighHz: f.text("Sweep to"), LengthS: f.text("Sweep length"), Repeats: f.text("Repeats"), PauseS: f.text("Pause"),
		})
	})
}

// openGate shows the form of the analysis: the gate by keyboard, the smoothing.
func (v *takeView) openGate() {
	s := v.shell
	st := s.desk.State()
	if st.Analysis == nil {
		return
	}
	was := st.GateForm()
	f := newFields(s, 252, "Opens", "Closes", "Smoothing")
	f.caption("Opens", "Opens before the arrival, ms").caption("Closes", "Closes after it, ms").caption("Smoothing", "Smoothing, 1 / n octave, 0: none")
	f.fill(map[string]string{"Opens": was.OpensMS, "Closes": was.ClosesMS, "Smoothing": was.Smoothing})
	auto := container.NewHBox(newTextLink(s.look, "Let the program set the gate", func() {
		s.sheet.hide()
		s.desk.AutoGate()
	}))
	body := newColumn(14, 520, pairs(f.boxes("Opens", "Closes", "Smoothing")...), auto)
	s.openForm("Gate and smoothing", body, f.of, f.of["Opens"].entry, func() []desk.Field {
		return s.desk.SetGateForm(desk.GateForm{OpensMS: f.text("Opens"), ClosesMS: f.text("Closes"), Smoothing: f.text("Smoothing")})
	})
}
