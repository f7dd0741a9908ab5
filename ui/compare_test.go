package ui

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"fyne.io/fyne/v2"

	"stillroom/app/audio/simulated"
	"stillroom/app/board"
	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/rig"
	"stillroom/app/settings"
	"stillroom/app/take"
)

func (s *testShell) compared() *compareView { return s.rooms[compareRoom].(*compareView) }

// withTweeters is a window whose records hold takes of invented tweeters.
func withTweeters(t testing.TB, theme string, n int, width, height float32) *testShell {
	t.Helper()
	store, err := database.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	for i := range n {
		one := tweeter(t, fmt.Sprintf("WRT-22%02d", i+1))
		one.ID = records.NewID(time.Now().Add(time.Duration(i-n) * time.Minute))
		if err := store.Keep(t.Context(), records.Kept{Take: one}); err != nil {
			t.Fatal(err)
		}
	}
	return newTestShellOn(t, store, theme, width, height)
}

func tweeter(t testing.TB, serial string) *take.Take {
	t.Helper()
	sim, err := simulated.New(simulated.Options{Subject: "tweeter", Serial: serial})
	if err != nil {
		t.Fatal(err)
	}
	r := rig.Rig{Name: "bench box", Kind: simulated.Kind, OutputDevice: simulated.DeviceID, InputDevice: simulated.DeviceID,
		RateHz: 48000, LevelDBFS: -20, LimitDBFS: 0, FixtureKind: rig.DampedBox}
	p := take.DefaultProgramme(r)
	p.DurationS, p.LowHz = 0.5, 200
	one, err := take.Record(t.Context(), sim, r, p, take.Subject{Model: "Wren tweeter", Serial: serial}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return one
}

// compareAll selects all takes in Records and lays them on the board.
func compareAll(t testing.TB, s *testShell, n int) {
	t.Helper()
	s.enter(recordsRoom)
	s.window.Canvas().(fyne.Shortcutable).TypedShortcut(&fyne.ShortcutSelectAll{})
	s.soon(t, "all selected", func() bool { return len(s.desk.State().Listing.Selected) == n })
	s.hop.deliver()
	s.key(press(fyne.KeyC))
	s.soon(t, "the Compare room", func() bool { return s.shown == compareRoom })
	s.worked(t)
}

// worked waits until the board is worked out and shown.
func (s *testShell) worked(t testing.TB) {
	t.Helper()
	s.soon(t, "the board is worked out", func() bool { return !s.table.State().Busy })
	s.hop.deliver()
}

func TestCompareFromRecords(t *testing.T) {
	for _, theme := range []string{settings.Daylight, settings.Lamplight} {
		for _, size := range [][2]float32{{1440, 900}, {1100, 700}} {
			t.Run(fmt.Sprintf("%s-%.0f", theme, size[0]), func(t *testing.T) {
				s := withTweeters(t, theme, 4, size[0], size[1])
				compareAll(t, s, 4)
				v := s.compared()
				if len(v.charts.charts) != 3 || len(v.side.rows) != 4 || len(v.charts.charts[0].full.Traces) != 4 {
					t.Fatalf("%d charts, %d rows", len(v.charts.charts), len(v.side.rows))
				}
				v.charts.tone.point(3100)
				picture(t, s, fmt.Sprintf("compare-%s-%.0f", theme, size[0]))
			})
		}
	}
}

func TestCompareByKeys(t *testing.T) {
	s := withTweeters(t, settings.Daylight, 2, 1440, 900)
	compareAll(t, s, 2)
	v := s.compared()
	magnitude := func() int { return len(v.charts.charts[0].full.Traces) }
	s.key(press(fyne.KeyDown))
	s.key(press(fyne.KeyH))
	s.worked(t)
	if magnitude() != 1 || v.side.rows[1].line.Seen {
		t.Errorf("H hides nothing: %d lines", magnitude())
	}
	s.shortcut(&fyne.ShortcutUndo{})
	s.soon(t, "undone", func() bool { return v.table.State().Lines()[1].Seen })
	s.worked(t)
	s.shortcut(redoShortcut())
	s.soon(t, "done again", func() bool { return !v.table.State().Lines()[1].Seen })
	s.shortcut(&fyne.ShortcutUndo{})
	s.soon(t, "undone", func() bool { return v.table.State().Lines()[1].Seen })
	s.key(press(fyne.KeyR))
	s.worked(t)
	if v.side.rows[1].line.Level != "reference" {
		t.Errorf("R makes no reference: %+v", v.side.rows[1].line)
	}
	from := v.charts.tone.cursor
	s.key(press(fyne.KeyRight))
	if v.charts.tone.cursor <= from || v.charts.charts[0].cursor.Position1.X != v.charts.charts[2].cursor.Position1.X {
		t.Error("the cursor does not walk through all charts")
	}
	if labels := v.charts.charts[0].labels; len(labels.boxes) != 2 || labels.boxes[0].text.Hidden {
		t.Error("no values at the cursor")
	}
	s.key(press(fyne.KeyPlus))
	if v.charts.tone.shown == v.charts.tone.home {
		t.Error("+ does not zoom")
	}
	s.key(press(fyne.Key0))
	if v.charts.tone.shown != v.charts.tone.home {
		t.Error("0 does not show all again")
	}
	s.key(press(fyne.KeyDelete))
	s.worked(t)
	if n := len(v.table.State().Board.Traces); n != 1 {
		t.Errorf("%d traces after Del", n)
	}
}

func TestABoardIsNamedKeptAndOpened(t *testing.T) {
	s := withTweeters(t, settings.Daylight, 2, 1100, 700)
	compareAll(t, s, 2)
	v := s.compared()
	v.save() // it has no name yet
	f := s.sheet.fields["Name"]
	if f.entry.Text != "Wren tweeter" {
		t.Errorf("suggested %q", f.entry.Text)
	}
	f.entry.SetText(" ")
	s.sheet.done()
	if s.sheet == nil || !f.error.Visible() {
		t.Fatal("a board without a name was taken")
	}
	f.entry.SetText("spacer trials")
	s.sheet.done()
	s.soon(t, "kept", func() bool { return v.table.State().Kept && !v.table.State().Changed })
	s.key(press(fyne.KeyH))
	s.worked(t)
	v.openBoards()
	s.soon(t, "the list", func() bool { return s.sheet != nil })
	picture(t, s, "compare-boards")
	s.sheet.done() // opens the first: the board has changed, so a question comes first
	s.soon(t, "the question", func() bool { return s.sheet != nil && len(s.sheet.fields) == 0 })
	picture(t, s, "compare-question")
	s.sheet.done()
	s.soon(t, "opened as it was", func() bool { return !v.table.State().Changed && v.table.State().Undo == "" })
}

func TestCompareForms(t *testing.T) {
	s := withTweeters(t, settings.Daylight, 2, 1100, 700)
	compareAll(t, s, 2)
	v := s.compared()
	for name, open := range map[string]func(){"align": v.openAlign, "gate": v.openGate, "trace": v.openTrace, "name": v.openName,
		"add": v.openAdd, "average": v.openAverage, "difference": v.openDifference, "sum": v.openSum, "join": v.openJoin, "charts": v.openCharts, "target": v.openTarget, "export": v.openExport} {
		open()
		picture(t, s, "compare-form-"+name)
		s.key(press(fyne.KeyEscape))
	}
	v.openAlign()
	s.sheet.fields["To"].entry.SetText("100")
	s.sheet.done()
	if s.sheet == nil || !s.sheet.fields["To"].error.Visible() {
		t.Error("a band that falls was taken")
	}
	s.key(press(fyne.KeyEscape))
	v.openTrace()
	s.sheet.fields["Offset"].entry.SetText("-3,5")
	s.sheet.done()
	s.worked(t)
	if one := v.table.State().Board.Traces[1]; one.OffsetDB != -3.5 {
		t.Errorf("offset %v", one.OffsetDB)
	}
}

// A board with changes that are not kept is not lost unseen when the window is closed.
func TestClosingAsksForABoardThatIsNotKept(t *testing.T) {
	s := withTweeters(t, settings.Daylight, 2, 1100, 700)
	compareAll(t, s, 2)
	s.askClose()
	if s.sheet == nil || s.ctx.Err() != nil {
		t.Fatal("the window closes without a word")
	}
	picture(t, s, "compare-closing")
	s.key(press(fyne.KeyReturn)) // leaves the question
	if s.sheet != nil || s.ctx.Err() != nil {
		t.Fatal("Enter closes the window")
	}
	s.askClose()
	s.askClose() // once more means yes
	if s.ctx.Err() == nil {
		t.Error("the window does not close")
	}
}

// A form of what is made of traces tells in place what does not go.
func TestCombinationsByForm(t *testing.T) {
	s := withTweeters(t, settings.Daylight, 2, 1100, 700)
	compareAll(t, s, 2)
	v := s.compared()
	v.openAverage()
	s.sheet.done() // both are ticked
	s.worked(t)
	v.openSum()
	s.sheet.fields["Delay 1"].entry.SetText("much")
	s.sheet.done()
	if s.sheet == nil || !s.sheet.fields["Delay 1"].error.Visible() {
		t.Fatal("a delay that is no number was taken")
	}
	s.sheet.fields["Delay 1"].entry.SetText("0,1")
	s.sheet.done()
	v.table.Choose("1")
	v.openDifference()
	s.sheet.done() // a trace re itself
	if s.sheet == nil || !s.sheet.fields["Made of"].error.Visible() {
		t.Fatal("the difference of a trace with itself was taken")
	}
	picture(t, s, "compare-form-difference-wrong")
	s.key(press(fyne.KeyEscape))
	s.worked(t)
	b := v.table.State().Board
	if len(b.Traces) != 4 || b.Traces[2].Source.Average == nil || b.Traces[3].Source.Sum.Parts[0].DelayS != 1e-4 {
		t.Errorf("%+v", b.Traces)
	}
	if f := v.table.State().Result.Findings(); len(f) > 0 && f[0].Verdict == "void" {
		t.Errorf("%+v", f)
	}
}

// Every chart that a board can show is shown in the window, in both lights.
func TestEveryChartIsShown(t *testing.T) {
	s := withTweeters(t, settings.Daylight, 2, 1440, 900)
	compareAll(t, s, 2)
	v := s.compared()
	for name, views := range map[string][]board.View{
		"phase":      {board.PhaseView, board.UnwrappedView, board.MinimumPhaseView, board.GroupDelayView},
		"time":       {board.ImpulseView, board.StepView, board.EnergyTimeView},
		"maps":       {board.DecayView, board.SpectrogramView},
		"distortion": {board.HarmonicView(2), board.THDView, board.EIDView, board.BandLevelsView},
		"many":       {board.MagnitudeView, board.DifferenceView, board.PhaseView, board.DecayView, board.ExcessPhaseView, board.ExcessGroupDelayView},
	} {
		form := v.table.State().ChartsForm()
		form.Views = nil
		for _, one := range views {
			form.Views = append(form.Views, string(one))
		}
		if wrong := v.table.SetCharts(form); len(wrong) > 0 {
			t.Fatal(wrong)
		}
		s.worked(t)
		if len(v.charts.charts) != len(views) {
			t.Fatalf("%s: %d charts", name, len(v.charts.charts))
		}
		for i, c := range v.charts.charts {
			if c.empty() {
				t.Errorf("%s: %s shows nothing: %s", name, views[i], c.full.Subtitle)
			}
		}
		s.key(press(fyne.KeyRight))
		picture(t, s, "compare-"+name)
	}
	form := v.table.State().ChartsForm()
	form.Views, form.Drawn = []string{string(board.DecayView)}, "surface"
	v.table.SetCharts(form)
	s.worked(t)
	picture(t, s, "compare-surface")
	if c := v.charts.charts[0]; c.full.Surface == nil || c.bend.Hidden {
		t.Error("no surface with its cursor")
	}
}

// For the eye: a target with its tolerance, and the bands of a group.
func TestTargetAndGroupAreShown(t *testing.T) {
	for _, theme := range []string{settings.Daylight, settings.Lamplight} {
		s := withTweeters(t, theme, 4, 1440, 900)
		compareAll(t, s, 4)
		v := s.compared()
		form := v.table.State().TargetForm()
		form.Target, form.Mean, form.Extremes, form.Deviation = v.table.State().TargetChoices()[2].ID, true, true, true
		if wrong := v.table.SetTarget(form); len(wrong) > 0 {
			t.Fatal(wrong)
		}
		s.worked(t)
		picture(t, s, "compare-group-"+theme)
		if n := len(v.charts.charts[0].full.Traces); n != 4+2+3 {
			t.Errorf("%d lines and bands", n)
		}
		if !v.side.margins.box.Visible() {
			t.Error("no margin to the limits of the target")
		}
	}
}

func TestTheTakeInHandIsLaidOnTheBoard(t *testing.T) {
	s := measured(t)
	s.key(press(fyne.KeyC))
	s.soon(t, "a trace", func() bool { return len(s.table.State().Board.Traces) == 1 })
	s.worked(t)
	if f := s.table.State().Result.Findings(); len(f) > 0 && f[0].Verdict == "void" {
		t.Errorf("%+v", f)
	}
}
