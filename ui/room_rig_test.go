package ui

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"stillroom/app/desk"
	"stillroom/app/rig"
	"stillroom/app/settings"
)

func (s *testShell) bench() *rigView { return s.rooms[rigRoom].(*rigView) }

// open opens a card and shows it.
func (s *testShell) open(c desk.Card) {
	s.enter(rigRoom)
	if s.desk.State().Bench.Open != c {
		s.desk.OpenCard(c)
	}
	s.hop.deliver()
}

// waits waits for a result and shows it.
func (s *testShell) waits(t *testing.T, c desk.Card) *desk.Found {
	t.Helper()
	s.soon(t, "a result on "+string(c), func() bool {
		st := s.desk.State()
		return st.Bench.Found != nil && st.Bench.Found.Card == c && st.Work == desk.Idle
	})
	return s.desk.State().Bench.Found
}

// A voltmeter that says 0.206 V at −20 dBFS means 2.06 V at full scale.
func TestOutputCardTakesAReading(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1440, 900)
	s.open(desk.OutputCard)
	v := s.bench()
	f := v.pages.output
	f.of["Tone level"].entry.SetText("-20")
	f.of["Volts"].entry.SetText("0,206")
	f.of["Volts"].entry.OnSubmitted("")
	s.soon(t, "refused without a tone", func() bool { return f.of["Volts"].error.Visible() })
	v.cards[0].first.Tapped(nil)
	s.soon(t, "the tone", func() bool { return s.desk.State().Bench.Tone != nil })
	f.of["Volts"].entry.OnSubmitted("")
	found := s.waits(t, desk.OutputCard)
	if found.Result != "2.06 V at full scale" || v.cards[0].first.text != "Keep" {
		t.Errorf("%q, key %q", found.Result, v.cards[0].first.text)
	}
	picture(t, s, "card-output")
	v.cards[0].first.Tapped(nil)
	s.soon(t, "kept", func() bool { return s.desk.State().Rig.Calibrations.Output != nil && s.desk.State().Bench.Found == nil })
	if got := s.desk.State().Rig.Calibrations.Output.VoltsAtFS; math.Abs(got-2.06) > 1e-9 {
		t.Errorf("kept %v V", got)
	}
	if c := s.desk.Cards(s.desk.State())[0]; c.Verdict != desk.Clean || !strings.Contains(c.Age, "MR, today") {
		t.Errorf("the card says %+v", c)
	}
}

// The microphone of the simulated rig reaches full scale at a peak of 20 Pa, a sine of
// 14.14 Pa: 10 mV/Pa into 0.1414 V (worked by hand).
func TestSheetThenATakeIsInSPL(t *testing.T) {
	s := newTestShell(t, settings.Lamplight, 1440, 900)
	quick(t, s)
	s.open(desk.InputCard)
	v := s.bench()
	f := v.pages.sheet
	f.fill(map[string]string{"Sensitivity": "10", "Gain": "0", "Full scale": "no"})
	f.of["Gain"].entry.OnSubmitted("")
	s.soon(t, "a line that says so", func() bool { return f.of["Full scale"].error.Visible() })
	f.of["Full scale"].entry.SetText("0.1414")
	f.of["Gain"].entry.OnSubmitted("")
	if found := s.waits(t, desk.InputCard); found.Result != "14.14 Pa at full scale" {
		t.Errorf("result %q", found.Result)
	}
	picture(t, s, "card-sheet")
	v.cards[2].first.Tapped(nil)
	s.soon(t, "kept", func() bool { return len(s.desk.State().Rig.Calibrations.Inputs) == 1 })
	s.measure()
	s.soon(t, "a take", func() bool { return s.desk.State().Take != nil && s.desk.State().Work == desk.Idle })
	if sub := s.take().response.full.Subtitle; !strings.HasPrefix(sub, "dB SPL") {
		t.Errorf("subtitle %q", sub)
	}
	if got := s.foot.mic.value; got != "Mic calibrated today" {
		t.Errorf("the status bar says %q", got)
	}
}

func TestCalibratorIsRefusedInSilence(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1100, 700)
	s.open(desk.InputCard)
	v := s.bench()
	v.cards[2].first.Tapped(nil)
	s.soon(t, "a refusal", func() bool { return s.desk.State().Bench.Refused != "" && s.desk.State().Work == desk.Idle })
	if !v.cards[2].refused.box.Visible() || v.cards[2].first.text != "Repeat" || s.desk.State().Bench.Found != nil {
		t.Error("what was refused can be kept, or the card does not say it")
	}
	if len(s.desk.State().Bench.Picture) == 0 {
		t.Error("nothing of what was heard is drawn")
	}
	picture(t, s, "card-refused")
}

func TestCurveCardReadsAnglesAndRefusesWhatIsNoCurve(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1440, 900)
	s.open(desk.CurveCard)
	v := s.bench()
	f := v.pages.curve
	folder := filepath.Join("..", "app", "rig", "testdata", "curves")
	f.of["File"].entry.SetText(filepath.Join(folder, "bad-10-no-rows.txt"))
	v.curveCard().first.Tapped(nil)
	s.soon(t, "a line that says so", func() bool { return f.of["File"].error.Visible() })
	for angle, name := range map[string]string{"0": "01-tabs.txt", "90": "06-bom-descending.txt"} {
		f.fill(map[string]string{"File": filepath.Join(folder, name), "Angle": angle, "Microphone": "M1", "Serial": "7731"})
		v.curveCard().first.Tapped(nil)
		s.waits(t, desk.CurveCard)
		picture(t, s, "card-curve")
		v.curveCard().first.Tapped(nil)
		s.soon(t, "kept", func() bool { return s.desk.State().Bench.Found == nil })
	}
	list, _ := s.desk.State().AngleChoices()
	if len(list) != 2 {
		t.Fatalf("%d angles", len(list))
	}
	v.pages.angle.chosen("0")
	s.soon(t, "0° in use", func() bool {
		a, ok := s.desk.State().Rig.Calibrations.Curves[0].Current()
		return ok && a.AngleDeg == 0
	})
}

// Check everything listens, measures the wire of the simulated rig, keeps it, and
// finds a level.
func TestCheckEverything(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1440, 900)
	s.enter(rigRoom)
	if err := s.desk.SetLoopback(t.Context(), 2); err != nil {
		t.Fatal(err)
	}
	s.hop.deliver()
	v := s.bench()
	v.check.Tapped(nil)
	s.soon(t, "the noise", func() bool { return s.desk.State().Bench.Noise != nil })
	s.soon(t, "a level", func() bool { return s.desk.State().Bench.Level != nil && s.desk.State().Work == desk.Idle })
	st := s.desk.State()
	if len(st.Rig.Calibrations.Interfaces) != 1 || st.Rig.Calibrations.Interfaces[0].Channel != 1 {
		t.Errorf("interfaces %+v", st.Rig.Calibrations.Interfaces)
	}
	if st.Bench.Found == nil || st.Bench.Found.Card != desk.LevelCard || math.IsNaN(st.Bench.Level.Advice.LevelDBFS) {
		t.Errorf("level check: %+v", st.Bench.Level)
	}
	picture(t, s, "card-level")
	s.key(press("Escape"))
	s.desk.OpenCard(desk.InterfaceCard)
	s.hop.deliver()
	picture(t, s, "card-interface")
	s.desk.OpenCard(desk.NoiseCard)
	s.hop.deliver()
	picture(t, s, "card-noise")
}

func TestEscStopsACalibration(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1100, 700)
	s.open(desk.OutputCard)
	s.bench().cards[0].first.Tapped(nil)
	s.soon(t, "the tone", func() bool { return s.desk.State().Bench.Tone != nil })
	s.key(press("Escape"))
	s.soon(t, "silence", func() bool { return s.desk.State().Work == desk.Idle })
}

// A headphone's fixture asks before the first sound, and again before a louder one.
func TestAHeadphoneAsksFirst(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1440, 900)
	quick(t, s)
	if err := s.desk.PutSubject(t.Context(), "headphone"); err != nil {
		t.Fatal(err)
	}
	if s.desk.State().Rig.FixtureKind != rig.EarCoupler {
		t.Fatalf("fixture %q", s.desk.State().Rig.FixtureKind)
	}
	if err := s.desk.Measure(t.Context()); err == nil {
		t.Error("a sweep was played without the answer")
	}
	s.measure()
	if s.sheet == nil || s.desk.State().Take != nil {
		t.Fatal("nothing was asked")
	}
	picture(t, s, "question-headphone")
	s.key(press("Return"))
	if s.sheet != nil || s.desk.State().Work != desk.Idle {
		t.Fatal("Enter plays: it must leave")
	}
	s.measure()
	s.sheet.done()
	s.soon(t, "a take", func() bool { return s.desk.State().Take != nil && s.desk.State().Work == desk.Idle })
	st := s.desk.State()
	if _, again := st.Question(st.SweepLevel()); again {
		t.Error("the same level is asked for twice in a session")
	}
	if _, louder := st.Question(st.SweepLevel() + 1); !louder {
		t.Error("a louder one is not asked for")
	}
}

// A void take needs a reason, which stays on it.
func TestAVoidTakeIsKeptOnlyWithAReason(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1440, 900)
	quick(t, s)
	r := s.desk.State().Rig
	r.Simulated.Faults = []string{"clip:30"}
	if err := s.desk.SetRig(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	s.measure()
	s.soon(t, "a take", func() bool { return s.desk.State().Take != nil && s.desk.State().Work == desk.Idle })
	if !s.desk.State().Void() {
		t.Fatalf("a clipped take is not void: %+v", s.desk.State().Analysis.Findings)
	}
	if err := s.desk.Keep(t.Context()); err == nil {
		t.Error("a void take was kept as a result")
	}
	s.take().keepTake()
	f := s.sheet.fields["Reason"]
	s.sheet.done()
	if s.sheet == nil || !f.error.Visible() {
		t.Fatal("no reason was asked for")
	}
	picture(t, s, "question-void")
	f.entry.SetText("only copy of a unit that is gone")
	s.sheet.done()
	s.soon(t, "kept", func() bool { return s.desk.State().Kept && len(s.desk.State().Listing.Held()) == 1 })
	st := s.desk.State()
	if rows := st.Findings(); rows[0].Verdict != desk.Void || !strings.Contains(rows[0].Text, "only copy") {
		t.Errorf("the take says %+v", rows[0])
	}
	if e := st.Listing.Held()[0]; e.Verdict != desk.Void || e.Status != "void" {
		t.Errorf("Records say %+v", e.Status)
	}
	id := st.Take.ID
	if err := s.desk.Open(t.Context(), id); err != nil || s.desk.State().Take.Override == "" {
		t.Errorf("reopened without its mark: %v", err)
	}
	s.hop.deliver()
	picture(t, s, "take-void")
}

func TestMicrophonesKeepApart(t *testing.T) {
	s := newTestShell(t, settings.Daylight, 1440, 900)
	s.enter(rigRoom)
	v := s.bench()
	if err := s.desk.SetLoopback(t.Context(), 1); err == nil {
		t.Error("the loopback is on the microphone's input")
	}
	if err := s.desk.SetLoopback(t.Context(), 2); err != nil {
		t.Fatal(err)
	}
	if err := s.desk.AddMicrophone(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.hop.deliver()
	if m := s.desk.State().Rig.MoreMicrophones; len(m) != 1 || m[0].Channel != 2 || len(v.microphones.rows) != 1 {
		t.Fatalf("microphones %+v", m)
	}
	v.microphones.rows[0].place.entry.SetText("left")
	v.microphones.rows[0].place.entry.leave()
	s.soon(t, "the place", func() bool { return s.desk.State().Rig.MoreMicrophones[0].Place == "left" })
	picture(t, s, "rig-microphones")
	v.microphones.rows[0].channel.chosen("2")
	s.soon(t, "a refusal", func() bool { return strings.Contains(s.desk.State().Notice.Text, "used twice") })
	if m := s.desk.State().Rig.MoreMicrophones; len(m) != 1 || m[0].Channel != 2 {
		t.Errorf("microphones %+v", m)
	}
}
