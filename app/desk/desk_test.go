package desk_test

import (
	"errors"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"stillroom/app/audio"
	"stillroom/app/desk"
	"stillroom/app/settings"
	"stillroom/app/take"
)

func TestMeasureKeepOpenDeleteUndo(t *testing.T) {
	d := newDesk(t, &wire{})
	shortSweep(t, d)
	if err := d.Measure(t.Context()); err != nil {
		t.Fatal(err)
	}
	s := d.State()
	// A gain of one half is −6.02 dB.
	if got, want := s.Analysis.Readings.MeanDB, 20*math.Log10(0.5); math.Abs(got-want) > 0.01 {
		t.Errorf("mean level %.3f dB, want %.3f", got, want)
	}
	if s.Kept || s.Take.ID == "" || s.Take.Person != "MR" || s.Take.Version != "test" {
		t.Errorf("take in hand: %+v", s.Take.ID)
	}
	if err := d.Keep(t.Context()); err != nil {
		t.Fatal(err)
	}
	if err := d.Keep(t.Context()); err == nil {
		t.Error("a take was kept twice")
	}
	id := s.Take.ID
	if l := d.State().Listing.Held(); len(l) != 1 || l[0].ID != id || l[0].Level != "-6.0" {
		t.Fatalf("list after keeping: %+v", l)
	}
	d.Discard()
	if d.State().Take != nil {
		t.Error("a take is still in hand")
	}
	if err := d.Open(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	if !d.State().Kept {
		t.Error("an opened take counts as not kept")
	}
	if err := d.Delete(t.Context(), id); err != nil || len(d.State().Listing.Held()) != 0 {
		t.Fatalf("delete: %v, %d in the list", err, len(d.State().Listing.Held()))
	}
	if err := d.Undo(t.Context()); err != nil || len(d.State().Listing.Held()) != 1 {
		t.Fatalf("undo: %v, %d in the list", err, len(d.State().Listing.Held()))
	}
}

func TestTheSameGateGivesTheSameBitsAfterReopening(t *testing.T) {
	d := newDesk(t, &wire{})
	shortSweep(t, d)
	if err := d.Measure(t.Context()); err != nil {
		t.Fatal(err)
	}
	d.MoveGate(-1, 4)
	d.Wait()
	first := d.State().Analysis
	if err := d.Keep(t.Context()); err != nil {
		t.Fatal(err)
	}
	id := d.State().Take.ID
	d.MoveGate(-2, 9)
	d.Wait()
	if err := d.Open(t.Context(), id); err != nil {
		t.Fatal(err)
	}
	again := d.State().Analysis
	if again.Settings != first.Settings {
		t.Fatalf("settings %+v, kept %+v", again.Settings, first.Settings)
	}
	for i, v := range again.Response.MagnitudeDB {
		if v != first.Response.MagnitudeDB[i] && !(math.IsNaN(v) && math.IsNaN(first.Response.MagnitudeDB[i])) {
			t.Fatalf("point %d: %v, kept %v", i, v, first.Response.MagnitudeDB[i])
		}
	}
}

func TestCancelSilencesAndKeepsTheTakeInHand(t *testing.T) {
	w := &wire{}
	d := newDesk(t, w)
	shortSweep(t, d)
	if err := d.Measure(t.Context()); err != nil {
		t.Fatal(err)
	}
	before := d.State().Take
	w.hold = make(chan struct{})
	done := make(chan error)
	go func() { done <- d.Measure(t.Context()) }()
	soon(t, "measuring", func() bool { return d.State().Work == desk.Measuring && d.State().Progress.Fraction > 0 })
	d.Cancel()
	if err := <-done; err == nil {
		t.Error("a cancelled take was taken")
	}
	if !w.silent || d.State().Work != desk.Idle || d.State().Take != before {
		t.Errorf("silent %v, work %q", w.silent, d.State().Work)
	}
	if d.State().Notice.Error {
		t.Errorf("stopping is told as an error: %s", d.State().Notice.Text)
	}
}

func TestAMeterGivesWayToATakeAndAToneDoesNot(t *testing.T) {
	d := newDesk(t, &wire{})
	shortSweep(t, d)
	go d.MeterRun(t.Context())
	soon(t, "listening", func() bool { return d.State().Level.On })
	if err := d.Measure(t.Context()); err != nil {
		t.Fatalf("while listening: %v", err)
	}
	go d.PlayTone(t.Context(), desk.OutputForm{FrequencyHz: "1000", LevelDBFS: "-40"})
	soon(t, "the tone", func() bool { return d.State().Work == desk.Calibrating })
	if err := d.Measure(t.Context()); !errors.Is(err, audio.ErrBusy) {
		t.Errorf("while a tone sounds: %v", err)
	}
	if err := d.Close(); err != nil || d.State().Work != desk.Idle {
		t.Errorf("close: %v, work %q", err, d.State().Work)
	}
}

func TestToneAboveTheLimitIsRefused(t *testing.T) {
	w := &wire{}
	d := newDesk(t, w)
	r := d.State().Rig
	r.LimitDBFS, r.LevelDBFS = -20, -30
	if err := d.SetRig(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	for _, f := range []desk.OutputForm{{FrequencyHz: "1000", LevelDBFS: "-19"}, {FrequencyHz: "none", LevelDBFS: "-40"}} {
		if wrong, err := d.PlayTone(t.Context(), f); err != nil || len(wrong) != 1 || w.plays > 0 {
			t.Errorf("%+v: %v, %v, %d exchanges", f, wrong, err, w.plays)
		}
	}
}

func TestAMissingDeviceIsSaidAndNotGuessed(t *testing.T) {
	w := &wire{}
	path := filepath.Join(t.TempDir(), "records.db")
	first := deskOn(t, w, path, settings.Settings{})
	kept := first.State().Rig
	if kept.OutputDevice != "test: Cable 1" {
		t.Fatalf("output %q", kept.OutputDevice)
	}
	w.gone = true
	d := deskOn(t, w, path, settings.Settings{Rig: kept.Name})
	s := d.State()
	if s.Rig.OutputDevice != kept.OutputDevice {
		t.Errorf("the kept device was replaced by %q", s.Rig.OutputDevice)
	}
	if len(s.Missing) != 2 || !strings.Contains(s.Missing[0], `"Cable 1"`) || !strings.Contains(s.Missing[0], `"Cable 2"`) {
		t.Errorf("what is missing: %q", s.Missing)
	}
	if err := d.Measure(t.Context()); err == nil || w.plays > 0 {
		t.Errorf("measured without its device: %v", err)
	}
}

func TestANewRigIsQuietAndHasNoDevice(t *testing.T) {
	d := newDesk(t, &wire{})
	if err := d.AddRig(t.Context(), false); err != nil {
		t.Fatal(err)
	}
	s := d.State()
	if s.Rig.LevelDBFS != -40 || s.Rig.OutputDevice != "" || len(s.Rigs) != 2 || s.Programme.LevelDBFS != -40 {
		t.Errorf("new rig: %+v", s.Rig)
	}
	if wrong, _ := d.SetRigForm(t.Context(), desk.RigForm{Name: "x", DistanceM: "0,5", LevelDBFS: "-3", LimitDBFS: "-12"}); len(wrong) != 1 || wrong[0].Name != "Level" {
		t.Errorf("a level above the limit: %v", wrong)
	}
}

func TestFirstStartMeasuresOneExampleOnce(t *testing.T) {
	w := &wire{}
	path := filepath.Join(t.TempDir(), "records.db")
	d := deskOn(t, w, path, settings.Settings{})
	shortSweep(t, d)
	if err := d.FirstStart(t.Context()); err != nil {
		t.Fatal(err)
	}
	s := d.State()
	if len(s.Listing.Held()) != 1 || s.Take.Subject.Note != desk.ExampleNote || s.Subject.Note != "" || !strings.Contains(s.Notice.Text, "example") {
		t.Errorf("list %d, note %q, notice %q", len(s.Listing.Held()), s.Subject.Note, s.Notice.Text)
	}
	if err := deskOn(t, w, path, s.Settings).FirstStart(t.Context()); err != nil || w.plays != 1 {
		t.Errorf("second start: %v, %d takes measured", err, w.plays)
	}
}

func TestFormsRefuseWhatIsNoNumber(t *testing.T) {
	d := newDesk(t, &wire{})
	for _, bad := range []string{"", "x", "NaN", "inf", "-1", "1e9"} {
		f := d.State().TakeForm()
		f.LengthS = bad
		if wrong := d.SetTakeForm(f); len(wrong) != 1 || wrong[0].Name != "Sweep length" {
			t.Errorf("%q: %v", bad, wrong)
		}
	}
}

func TestReadingsNeverInventNumbers(t *testing.T) {
	nan := math.NaN()
	a := &take.Analysis{Response: take.Response{FrequencyHz: []float64{100, 1000}, MagnitudeDB: []float64{nan, -3.04}, PhaseDeg: []float64{nan, -0.2}, GroupS: []float64{nan, 1e-3}}}
	if got := desk.CursorRows(a, 90)[0].Value; got != "—" {
		t.Errorf("unknown level is written %q", got)
	}
	rows := desk.CursorRows(a, 1100)
	for i, want := range []string{"-3.0 dB", "0°", "1.00 ms", "—", "—"} {
		if rows[i].Value != want {
			t.Errorf("%s: %q, want %q", rows[i].Label, rows[i].Value, want)
		}
	}
}
