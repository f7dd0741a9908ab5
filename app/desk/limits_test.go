package desk_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stillroom/app/desk"
	"stillroom/app/model"
	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/rig"
)

// With the limits of its model a take from 20 Hz is refused and nothing is played;
// from an octave above the limit it is recorded, and keeps the limits.
func TestLimitsOfAModelBindATake(t *testing.T) {
	w := &wire{}
	d := newDesk(t, w)
	shortSweep(t, d)
	setModel(t, d, "Wren tweeter")
	if wrong, err := d.SetLimits(t.Context(), desk.LimitsForm{LowestHz: "800", HighestVolts: "much"}); len(wrong) != 1 || err != nil || d.State().Model.Value.LowestHz != 0 {
		t.Fatalf("%v %v", wrong, err)
	}
	if wrong, err := d.SetLimits(t.Context(), desk.LimitsForm{LowestHz: "800"}); len(wrong) > 0 || err != nil {
		t.Fatal(wrong, err)
	}
	if line := d.State().LimitsLine(); line != "Wren tweeter: from 800 Hz up" {
		t.Errorf("told as %q", line)
	}
	if err := d.Measure(t.Context()); !errors.Is(err, model.ErrLimit) || w.plays != 0 {
		t.Errorf("from 20 Hz: %v, played %d times", err, w.plays)
	}
	if n := d.State().Notice; !n.Error || !strings.Contains(n.Text, "begin the band at 1600 Hz") {
		t.Errorf("the line says %q", n.Text)
	}
	f := d.State().TakeForm()
	f.LowHz = "1600"
	d.SetTakeForm(f)
	if err := d.Measure(t.Context()); err != nil {
		t.Fatal(err)
	}
	if l := d.State().Take.Subject.Limits; l.LowestHz != 800 || l.Model != "Wren tweeter" {
		t.Errorf("the take holds %+v", l)
	}
	setModel(t, d, "Heron 6") // of which nothing is known
	if line := d.State().LimitsLine(); line != "Heron 6: no drive limits" {
		t.Errorf("told as %q", line)
	}
	setModel(t, d, "Wren tweeter")
	if d.State().Model.Value.LowestHz != 800 {
		t.Error("the limits are forgotten")
	}
}

func setModel(t *testing.T, d *desk.Desk, name string) {
	t.Helper()
	f := d.State().TakeForm()
	f.Model = name
	if wrong := d.SetTakeForm(f); len(wrong) > 0 {
		t.Fatal(wrong)
	}
	if err := d.LookUpModel(t.Context()); err != nil {
		t.Fatal(err)
	}
}

// A limit in volts on an output that is not calibrated plays nothing, until somebody
// accepts that or calibrates it; then it is kept.
func TestVoltsThatCannotBeChecked(t *testing.T) {
	w := &wire{}
	d := newDesk(t, w)
	shortSweep(t, d)
	setModel(t, d, "Heron 6")
	set := func(f desk.LimitsForm) {
		t.Helper()
		if wrong, err := d.SetLimits(t.Context(), f); len(wrong) > 0 || err != nil {
			t.Fatal(wrong, err)
		}
	}
	set(desk.LimitsForm{HighestVolts: "2"})
	if err := d.Measure(t.Context()); !errors.Is(err, model.ErrUnchecked) || w.plays != 0 {
		t.Errorf("not known: %v", err)
	}
	if err := d.CheckLevel(t.Context()); !errors.Is(err, model.ErrUnchecked) || w.plays != 0 || !strings.Contains(d.State().Bench.Refused, "calibrate its voltage") {
		t.Errorf("level check: %v, %q", err, d.State().Bench.Refused)
	}
	set(desk.LimitsForm{HighestVolts: "2", Unchecked: "play"})
	if err := d.Measure(t.Context()); err != nil || !d.State().Take.Subject.Limits.Unchecked {
		t.Errorf("accepted: %v", err)
	}
	r := d.State().Rig
	r = r.WithOutput(rig.OutputLevel{Device: r.OutputDevice, Channel: r.OutputChannel, VoltsAtFS: 20})
	if err := d.SetRig(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	before := w.plays
	if err := d.Measure(t.Context()); !errors.Is(err, model.ErrLimit) || errors.Is(err, model.ErrUnchecked) || w.plays != before {
		t.Errorf("5.02 V at −12 dBFS: %v", err)
	}
}

// The tone of the output calibration keeps the lowest frequency, unless only a
// voltmeter hangs on the output.
func TestTheToneKeepsTheLimits(t *testing.T) {
	w := &wire{hold: make(chan struct{})}
	close(w.hold)
	d := newDesk(t, w)
	setModel(t, d, "Wren tweeter")
	if _, err := d.SetLimits(t.Context(), desk.LimitsForm{LowestHz: "800"}); err != nil {
		t.Fatal(err)
	}
	low := desk.OutputForm{FrequencyHz: "190", LevelDBFS: "-40"}
	if _, err := d.PlayTone(t.Context(), low); !errors.Is(err, model.ErrLimit) || w.plays != 0 {
		t.Errorf("190 Hz: %v", err)
	}
	low.Alone = true
	if _, err := d.PlayTone(t.Context(), low); err != nil || w.plays != 1 {
		t.Errorf("190 Hz into a voltmeter: %v", err)
	}
}

// broken is a place whose models cannot be read.
type broken struct{ records.Store }

func (b broken) Document(ctx context.Context, k records.Kind, name string) (records.Document, error) {
	if k == records.ModelKind {
		return records.Document{}, errors.New("the disk is gone")
	}
	return b.Store.Document(ctx, k, name)
}

// Limits come from the records and go there; what else is kept of a model stays. What
// somebody else has changed meanwhile is not overwritten. Where they cannot be read
// nothing is played.
func TestLimitsAreKept(t *testing.T) {
	store, err := database.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	shelf := records.Models(store)
	want := model.Model{Name: "Wren tweeter", Kind: "tweeter", LowestHz: 800, Note: "ferrofluid", KeepRaw: model.Retention{Rule: "chosen", Days: 30}}
	if err := shelf.Put(t.Context(), want); err != nil {
		t.Fatal(err)
	}
	w := &wire{}
	d := deskWith(t, w, store)
	setModel(t, d, "Wren tweeter")
	if err := d.Measure(t.Context()); !errors.Is(err, model.ErrLimit) || w.plays != 0 {
		t.Errorf("%v", err)
	}
	if _, err := d.SetLimits(t.Context(), desk.LimitsForm{LowestHz: "700", HighestVolts: "3,5", ImpedanceOhm: "6"}); err != nil {
		t.Fatal(err)
	}
	want.LowestHz, want.HighestVolts, want.RatedImpedanceOhm = 700, 3.5, 6
	if kept, err := shelf.Get(t.Context(), "Wren tweeter"); err != nil || kept.Value != want {
		t.Errorf("kept %+v, %v", kept.Value, err)
	}
	want.LowestHz = 900
	if err := shelf.Put(t.Context(), want); err != nil {
		t.Fatal(err)
	}
	if _, err := d.SetLimits(t.Context(), desk.LimitsForm{LowestHz: "50"}); err == nil || d.State().Model.Value.LowestHz != 900 {
		t.Errorf("changed by somebody else: %v, now %+v", err, d.State().Model)
	}
	d = deskWith(t, w, broken{store})
	if err := d.Measure(t.Context()); err == nil || w.plays != 0 || !strings.Contains(d.State().Notice.Text, "the disk is gone") {
		t.Errorf("limits that cannot be read: %v, %q", err, d.State().Notice.Text)
	}
}

// A fixture's response is read, waits, is kept, stands on its card, and goes again. An
// open bench refuses one.
func TestFixtureCard(t *testing.T) {
	d := newDesk(t, &wire{})
	path := filepath.Join(t.TempDir(), "box.txt")
	if err := os.WriteFile(path, []byte("* Damped box 1\n20 3.5 10\n1000 -1.25 0\n20000 0 -10\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if wrong, err := d.ReadFixtureFile(desk.FixtureForm{Path: filepath.Join(t.TempDir(), "none.txt")}); len(wrong) != 1 || err != nil {
		t.Errorf("no file: %v %v", wrong, err)
	}
	d.OpenCard(desk.FixtureCard)
	if wrong, err := d.ReadFixtureFile(desk.FixtureForm{Path: path}); len(wrong) > 0 || err != nil {
		t.Fatal(wrong, err)
	}
	s := d.State()
	if f := s.Bench.Found; f == nil || f.Result != "-1.2 to +3.5 dB" {
		t.Fatalf("found %+v", f)
	}
	if c, ok := s.CardChart(); !ok || c.Traces[0].Y[1] != -1.25 {
		t.Error("no picture of it, or not as it is taken out")
	}
	if err := d.KeepFound(t.Context()); err != nil {
		t.Fatal(err)
	}
	card := cardOf(t, d, desk.FixtureCard)
	if card.Verdict != desk.Clean || !strings.Contains(card.Text, "box.txt") || !strings.Contains(card.Age, "MR, today") {
		t.Errorf("the card says %+v", card)
	}
	if d.State().Rig.Chain(0).Fixture == nil {
		t.Error("it is not taken out")
	}
	r := d.State().Rig
	r.FixtureKind = rig.OpenBench
	if err := d.SetRig(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	if card = cardOf(t, d, desk.FixtureCard); card.Verdict != desk.Remark || card.Age != "one is kept, and not used here" || d.State().Rig.Chain(0).Fixture != nil {
		t.Errorf("on an open bench: %+v", card)
	}
	if _, err := d.ReadFixtureFile(desk.FixtureForm{Path: path}); err == nil || !strings.HasPrefix(d.State().Bench.Refused, "An open bench has no response of its own") {
		t.Errorf("read on an open bench: %v, %q", err, d.State().Bench.Refused)
	}
	if err := d.RemoveFixture(t.Context()); err != nil || d.State().Rig.Calibrations.Fixture != nil {
		t.Errorf("taken away: %v", err)
	}
}

func cardOf(t *testing.T, d *desk.Desk, c desk.Card) desk.CardView {
	t.Helper()
	for _, v := range d.Cards(d.State()) {
		if v.Card == c {
			return v
		}
	}
	t.Fatalf("there is no card %q", c)
	return desk.CardView{}
}
