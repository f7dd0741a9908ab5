package rig

import (
	"bytes"
	"encoding/json"
	"math"
	"math/cmplx"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"stillroom/dsp/level"
)

func at(days float64) time.Time {
	return time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC).Add(time.Duration(days * 24 * float64(time.Hour)))
}

// bench is a rig with all calibrations, on channel 1.
func bench() Rig {
	r := Rig{Name: "bench", OutputDevice: "out", InputDevice: "in", InputChannel: 1, RateHz: 48000, LevelDBFS: -30, LimitDBFS: -6}
	stamp := Stamp{at(0), "Mara Lind"}
	r = r.WithOutput(OutputLevel{Stamp: stamp, Device: "out", VoltsAtFS: 4})
	r = r.WithInput(InputLevel{Stamp: stamp, Device: "in", Channel: 1, Method: ByCalibrator, PascalAtFS: 10, FrequencyHz: 250, UncertaintyDB: 0.2})
	r = r.WithCurve(MicrophoneCurve{Stamp: stamp, Channel: 1, InUse: 1, Angles: []CurveAngle{
		{AngleDeg: 0, Curve: Curve{FrequencyHz: []float64{20, 20000}, MagnitudeDB: []float64{9, 9}}},
		{AngleDeg: 90, Curve: Curve{FrequencyHz: []float64{25, 250, 2500}, MagnitudeDB: []float64{1, 0.5, 3}, PhaseDeg: []float64{0, 10, 20}}},
	}})
	r = r.WithInterface(InterfaceResponse{Stamp: stamp, OutputDevice: "out", InputDevice: "in", Channel: 1, RateHz: 48000,
		Curve: Curve{FrequencyHz: []float64{10, 100, 1000, 10000}, MagnitudeDB: []float64{-9, -6, -6, -8}, PhaseDeg: []float64{30, 0, 0, -20}}})
	return r.WithFixture(&FixtureResponse{Stamp: stamp, Name: "box", Curve: Curve{FrequencyHz: []float64{100, 10000}, MagnitudeDB: []float64{2, 2}}})
}

// Each part is taken out once: at 2.5 kHz the microphone's +3 dB and 20°, the
// interface's −0.8 dB re 1 kHz and −8° (0.398 of a decade), the fixture's +2 dB.
func TestCorrectTakesEachPartOutOnce(t *testing.T) {
	c := bench().Chain(1)
	u := math.Log10(2.5)
	for _, x := range []struct{ hz, db, deg float64 }{
		{1000, -(0.5 + 2.5*math.Log10(4) - 0 + 2), -(10 + 10*math.Log10(4))},
		{2500, -(3 - 2*u + 2), -(20 - 20*u)},
		{10, -(1 - 3 + 2), -30},  // microphone and fixture: ends held
		{20000, -(3 - 2 + 2), 0}, // all ends held: 20° less 20°
	} {
		got := c.Correct([]float64{x.hz})[0]
		if db := level.DB(cmplx.Abs(got)); math.Abs(db-x.db) > 1e-9 {
			t.Errorf("%g Hz: %.6f dB, want %.6f", x.hz, db, x.db)
		}
		if deg := cmplx.Phase(got) * 180 / math.Pi; math.Abs(deg-x.deg) > 1e-9 {
			t.Errorf("%g Hz: %.6f°, want %.6f°", x.hz, deg, x.deg)
		}
	}
	got := c.WithLoopback().Correct([]float64{2500})[0]
	if db := level.DB(cmplx.Abs(got)); math.Abs(db+5) > 1e-9 {
		t.Errorf("with a loopback channel: %.6f dB, want −5", db)
	}
}

// The tone of the calibrator, measured like a take and corrected, has the pressure
// of the calibrator, whatever the curves say at its frequency.
func TestCalibratedPressureIsThatOfTheCalibrator(t *testing.T) {
	r := bench()
	r = r.WithFixture(nil) // the calibrator sits on the microphone
	for _, c := range []Chain{r.Chain(1), r.Chain(1).WithLoopback()} {
		const read = 0.05 // of full scale, as the tone was read
		corrected := read * cmplx.Abs(c.Correct([]float64{250})[0])
		if got := level.SPL(corrected * c.PascalAtFS); math.Abs(got-level.SPL(read*10)) > 1e-9 {
			t.Errorf("%.6f dB, the calibrator made %.6f dB", got, level.SPL(read*10))
		}
	}
}

// What was calibrated on another device, channel or rate is not used.
func TestForeignCalibrationsAreNotUsed(t *testing.T) {
	c := bench().Chain(1)
	if c.VoltsAtFS != 4 || !c.Calibrated() || c.Interface == nil || c.Microphone == nil || c.LevelUncertaintyDB != 0.2 {
		t.Fatalf("%+v", c)
	}
	for what, change := range map[string]func(*Rig){
		"output device": func(r *Rig) { r.OutputDevice = "other" }, "output channel": func(r *Rig) { r.OutputChannel = 1 },
		"input device": func(r *Rig) { r.InputDevice = "other" }, "rate": func(r *Rig) { r.RateHz = 96000 },
	} {
		r := bench()
		change(&r)
		c := r.Chain(1)
		if c.Interface != nil {
			t.Errorf("another %s: the interface's response is used", what)
		}
		if output := strings.HasPrefix(what, "output"); output != math.IsNaN(c.VoltsAtFS) || (what == "input device") == c.Calibrated() {
			t.Errorf("another %s: %g V, %g Pa", what, c.VoltsAtFS, c.PascalAtFS)
		}
	}
	empty := bench().Chain(0)
	if empty.Calibrated() || empty.Microphone != nil || empty.Interface != nil || !math.IsNaN(empty.CurveUncertaintyDB) {
		t.Errorf("another channel: %+v", empty)
	}
	if got := (Rig{}).Chain(0).Correct([]float64{20, 1000}); got[0] != 1 || got[1] != 1 {
		t.Errorf("nothing known: %v", got)
	}
}

func TestHighestLevel(t *testing.T) {
	r := bench()
	if db, held := r.HighestDBFS(); db != -6 || !held {
		t.Errorf("%g %v", db, held)
	}
	r.MaxVolts = 1
	if db, held := r.HighestDBFS(); math.Abs(db-level.DB(0.25)) > 1e-12 || !held {
		t.Errorf("1 V of 4 V: %g dBFS %v", db, held)
	}
	r.OutputDevice = "other"
	if db, held := r.HighestDBFS(); db != -6 || held {
		t.Errorf("not calibrated: %g %v", db, held)
	}
}

// Rigs kept before there were calibrations are read, with nothing known; those with
// all of it come back the same, and unknown fields can be refused.
func TestJSON(t *testing.T) {
	const kept = `{"Name":"bench","Kind":"simulated","Fixture":"open bench","OutputDevice":"","InputDevice":"","OutputChannel":0,` +
		`"InputChannel":0,"RateHz":48000,"LevelDBFS":-12,"LimitDBFS":-3,"DistanceM":0.5,"Simulated":{"Subject":"two-way","Serial":"H6-0001","Faults":["hum"]}}`
	var old Rig
	if err := json.Unmarshal([]byte(kept), &old); err != nil || !cmp.Equal(old.Calibrations, Calibrations{}) {
		t.Fatalf("%+v %v", old, err)
	}
	if text, err := json.Marshal(old); err != nil || string(text) != kept {
		t.Errorf("written as %s %v", text, err)
	}
	for _, r := range []Rig{bench(), old} {
		r.MoreMicrophones = []Microphone{{Channel: 2, Name: "left", Place: "0.5 m"}}
		r.FixtureKind, r.LoopbackChannel, r.RatedImpedanceOhm = EarCoupler, 2, 32
		text, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		var back Rig
		decoder := json.NewDecoder(bytes.NewReader(text))
		decoder.DisallowUnknownFields()
		if err := decoder.Decode(&back); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(r, back); diff != "" {
			t.Error(diff)
		}
	}
}

// The With methods share nothing they change with the rig they came from.
func TestWithLeavesTheOldRigAlone(t *testing.T) {
	r := bench()
	before, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	changed := r.WithInput(InputLevel{Channel: 1, PascalAtFS: 99}).WithInput(InputLevel{Channel: 0, PascalAtFS: 1})
	changed = changed.WithOutput(OutputLevel{}).WithCurve(MicrophoneCurve{Channel: 1}).WithInterface(InterfaceResponse{Channel: 1})
	if after, err := json.Marshal(r); err != nil || !bytes.Equal(before, after) {
		t.Errorf("the rig changed: %s", after)
	}
	if in := changed.Calibrations.Inputs; len(in) != 2 || in[0].Channel != 0 || in[1].PascalAtFS != 99 {
		t.Errorf("%+v", in)
	}
}

func TestStatus(t *testing.T) {
	texts := func(r Rig, days float64) string {
		var out []string
		for _, l := range r.Status(at(days)) {
			out = append(out, string(l.State)+": "+l.Text)
		}
		return strings.Join(out, "\n")
	}
	want := "done: Output calibrated 12 days ago\ndone: Mic calibrated 12 days ago\n" +
		"done: Mic curve calibrated 12 days ago, 90° in use\ndone: Interface on input 2 calibrated 12 days ago\ndone: Fixture response of box is taken out"
	if got := texts(bench(), 12.5); got != want {
		t.Errorf("got\n%s", got)
	}
	if got := texts(bench(), 400); strings.Count(got, "old: ") != 4 || !strings.Contains(got, "Mic calibrated 400 days ago: calibrate again") {
		t.Errorf("got\n%s", got)
	}
	if n := len(bench().OldLines(at(31))); n != 1 {
		t.Errorf("%d are old after 31 days, the acoustic level alone is", n)
	}
	moved := bench()
	moved.InputDevice, moved.RateHz = "other", 96000
	if got := texts(moved, 1); strings.Count(got, "foreign: ") != 2 || !strings.Contains(got, "measure it at 96000 Hz") {
		t.Errorf("got\n%s", got)
	}
	if got := texts(Rig{MoreMicrophones: []Microphone{{Channel: 1, Name: "left"}}}, 0); strings.Count(got, "missing: ") != 7 || !strings.Contains(got, "Mic left not calibrated") {
		t.Errorf("got\n%s", got)
	}
}

func TestAgo(t *testing.T) {
	for days, want := range map[float64]string{0: "today", 0.9: "today", 1.2: "yesterday", 2.9: "2 days ago", 30: "30 days ago", -2: "in the future: check the clock"} {
		if got := Ago(days); got != want {
			t.Errorf("%g days: %q", days, got)
		}
	}
}

// Linear in dB over log frequency; ends held; covered only inside.
func TestCurveBetweenPoints(t *testing.T) {
	c := Curve{FrequencyHz: []float64{100, 1000}, MagnitudeDB: []float64{0, 6}, PhaseDeg: []float64{170, -170}}
	if got := c.LevelDB(math.Sqrt(1e5)); math.Abs(got-3) > 1e-12 {
		t.Errorf("half a decade: %g dB", got)
	}
	if got := c.PhaseAt(math.Sqrt(1e5)); math.Abs(got-180) > 1e-9 {
		t.Errorf("across the jump: %g°", got)
	}
	if c.LevelDB(10) != 0 || c.LevelDB(1e5) != 6 || c.LevelDB(1000) != 6 {
		t.Error("ends are not held")
	}
	if c.Covers(99) || !c.Covers(100) || !c.Covers(1000) || c.Covers(1001) || (Curve{}).Covers(100) {
		t.Error("covered range")
	}
	if !math.IsNaN((Curve{FrequencyHz: []float64{1}, MagnitudeDB: []float64{0}}).PhaseAt(1)) {
		t.Error("a phase that is not known is a number")
	}
}
