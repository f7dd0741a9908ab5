package calibrate

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"stillroom/app/audio"
	"stillroom/app/rig"
	"stillroom/dsp/level"
)

// A calibrator with harmonics of −40 dB and noise of −40 dB, at both frequencies and
// levels and at the usual rates: full scale in pascals is within 0.02 dB of what it
// was made to be.
func TestAcousticLevel(t *testing.T) {
	worst, seed := 0.0, uint64(1)
	for _, rate := range []float64{44100, 48000, 96000} {
		for _, hz := range []float64{248.9, 251.19, 1000, 1012.7} {
			for _, spl := range []float64{94, 114} {
				const fullPa = 12.5
				r := testRig()
				r.RateHz = rate
				source := &calibrator{hz: hz, rms: level.PressurePa(spl) / fullPa / math.Sqrt2, second: 0.01, third: 0.01, noise: 0.01, dc: 0.002, seed: seed}
				seed++
				got, err := benchOn(&room{hear: source.hear}, r).Acoustic(t.Context(), Source{Channel: 1, LevelDB: spl, ListenS: 3})
				if err != nil {
					t.Fatal(err)
				}
				worst = math.Max(worst, math.Abs(level.DB(got.Level.PascalAtFS/fullPa)))
				near(t, "frequency", got.Level.FrequencyHz, hz, 0.01)
				if c := got.Rig.Chain(1); c.PascalAtFS != got.Level.PascalAtFS || got.Rig.Chain(0).Calibrated() {
					t.Errorf("in the rig: %+v", c)
				}
			}
		}
	}
	t.Logf("worst %.5f dB", worst)
	if worst > 0.02 {
		t.Errorf("worst deviation %.4f dB, allowed are 0.02 dB", worst)
	}
}

func TestAcousticIsStampedAndCompared(t *testing.T) {
	source := calibrator{hz: 1000, rms: 0.05, second: 0.004, noise: 0.001}
	r := testRig()
	b := benchOn(&room{hear: source.hear}, r)
	first, err := b.Acoustic(t.Context(), Source{LevelDB: 94})
	if err != nil {
		t.Fatal(err)
	}
	c := first.Level.Calibrator
	if first.Level.At != day || first.Level.Person != "Mara Lind" || first.Level.Device != "in" || c.NominalHz != 1000 || !math.IsNaN(first.ChangeDB) || first.Remark != "" {
		t.Errorf("%+v", first.Level)
	}
	near(t, "distortion", c.DistortionPercent, 0.4, 0.01)
	near(t, "level", c.MeasuredFS, level.DB(0.05*math.Sqrt2), 0.001)

	// 1 dB more comes out of the preamplifier; the level is found by itself
	louder := calibrator{hz: 1000, rms: 0.05 * level.Ratio(1), noise: 0.001}
	b.Rig, b.Interface = first.Rig, &room{hear: louder.hear}
	second, err := b.Acoustic(t.Context(), Source{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "change", second.ChangeDB, -1, 0.001)
	if second.Level.Calibrator.LevelDB != 94 || !strings.Contains(second.Remark, "-1.0 dB") {
		t.Errorf("%+v %q", second.Level.Calibrator, second.Remark)
	}
	tenfold := calibrator{hz: 1000, rms: 0.5, noise: 0.001}
	b.Interface = &room{hear: tenfold.hear}
	if third, err := b.Acoustic(t.Context(), Source{}); err != nil || third.Level.Calibrator.LevelDB != 114 {
		t.Errorf("20 dB more is not 114 dB: %+v %v", third.Level.Calibrator, err)
	}
}

// What is no calibrator that sits right is refused, each with its own line.
func TestAcousticRefusals(t *testing.T) {
	good := calibrator{hz: 1000, rms: 0.05, second: 0.01, noise: 0.01}
	with := func(change func(*calibrator)) *calibrator {
		c := good
		change(&c)
		return &c
	}
	for name, x := range map[string]struct {
		source *calibrator
		level  float64
		says   string
	}{
		"off":        {with(func(c *calibrator) { c.hz = 1021 }), 94, "1021.0 Hz"},
		"resampled":  {with(func(c *calibrator) { c.hz = 1000 * 44.1 / 48 }), 94, "sample rate"},
		"unsteady":   {with(func(c *calibrator) { c.tremble = 0.02 }), 94, "unsteady"},
		"distorted":  {with(func(c *calibrator) { c.third = 0.04 }), 94, "distorted by 4.1 %"},
		"noisy":      {with(func(c *calibrator) { c.noise = 0.05 }), 94, "over the noise"},
		"noise only": {with(func(c *calibrator) { c.hz, c.noise = 3000, 30; c.rms = 0.003 }), 94, "no tone stands out"},
		"loud":       {with(func(c *calibrator) { c.rms = 0.8 }), 94, "overloaded"},
		"faint":      {with(func(c *calibrator) { c.rms = 1e-5 }), 94, "hardly anything"},
		"silent":     {with(func(c *calibrator) { c.rms = 0 }), 94, "silence"},
		"not told":   {&good, 0, "say which one"},
	} {
		got, err := benchOn(&room{hear: x.source.hear}, testRig()).Acoustic(t.Context(), Source{LevelDB: x.level})
		if !errors.Is(err, ErrRefused) || !strings.Contains(err.Error(), x.says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v, want %q", name, err, x.says)
		}
		if got.Level.PascalAtFS != 0 || len(got.Rig.Calibrations.Inputs) > 0 {
			t.Errorf("%s: refused, and yet %+v", name, got.Level)
		}
	}
	lost := &room{hear: good.hear, facts: audio.Facts{LostFrames: 12}}
	if _, err := benchOn(lost, testRig()).Acoustic(t.Context(), Source{LevelDB: 94}); !errors.Is(err, ErrRefused) {
		t.Errorf("lost samples: %v", err)
	}
	for _, s := range []Source{{LevelDB: 20}, {LevelDB: 94, FrequencyHz: 9000}, {LevelDB: 94, ListenS: 1e6}} {
		if _, err := benchOn(lost, testRig()).Acoustic(t.Context(), s); err == nil || errors.Is(err, ErrRefused) {
			t.Errorf("%+v: %v", s, err)
		}
	}
}

func TestAcousticCanBeStoppedAndWatched(t *testing.T) {
	source := calibrator{hz: 250, rms: 0.05, noise: 0.001}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	var trace Trace
	b := benchOn(&room{hear: source.hear}, testRig())
	b.Progress = &trace
	if _, err := b.Acoustic(ctx, Source{LevelDB: 94}); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
	m := trace.Moments()
	if len(m) != 1 || m[0].Stage != "listening" || math.Abs(m[0].TimeS-2.75) > 0.01 || math.Abs(m[0].LevelDBFS-level.DB(0.05*math.Sqrt2)) > 1e-9 {
		t.Errorf("%+v", m)
	}
	if trace.Clear(); len(trace.Moments()) != 0 {
		t.Error("a cleared trace holds moments")
	}
}

// 10 mV/Pa, +20 dB, full scale at 2 V: 20 Pa, worked by hand.
func TestSensitivity(t *testing.T) {
	b := benchOn(nil, testRig())
	got, err := b.Sensitivity(1, rig.Sensitivity{MilliVoltsPerPa: 10, GainDB: 20, VoltsAtFS: 2})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "full scale", got.Rig.Chain(1).PascalAtFS, 20, 1e-12)
	for _, s := range []rig.Sensitivity{
		{}, {MilliVoltsPerPa: -38, GainDB: 20, VoltsAtFS: 2}, {MilliVoltsPerPa: 10, GainDB: 200, VoltsAtFS: 2},
		{MilliVoltsPerPa: 10, VoltsAtFS: 0}, {MilliVoltsPerPa: 1000, GainDB: 90, VoltsAtFS: 0.01}, {MilliVoltsPerPa: math.NaN(), VoltsAtFS: 1},
	} {
		if got, err := b.Sensitivity(0, s); !errors.Is(err, ErrRefused) || got.Level.PascalAtFS != 0 {
			t.Errorf("%+v: %v", s, err)
		}
	}
}

func TestCurvesOfOneMicrophoneAddUp(t *testing.T) {
	b := benchOn(nil, testRig())
	curve := func(db float64) rig.Curve {
		return rig.Curve{FrequencyHz: []float64{20, 20000}, MagnitudeDB: []float64{db, db}}
	}
	m := Microphone{Channel: 0, Name: "short one", Serial: "12", At: day.AddDate(0, -3, 0)}
	for _, a := range []float64{0, 90, 0} {
		r, err := b.Curve(m, a, "/somewhere/mic.txt", curve(a))
		if err != nil {
			t.Fatal(err)
		}
		b.Rig = r
	}
	c := b.Rig.Calibrations.Curves[0]
	if len(c.Angles) != 2 || c.Angles[c.InUse].AngleDeg != 0 || c.Angles[0].File != "mic.txt" || c.AgeDays(day) < 80 {
		t.Errorf("%+v", c)
	}
	r, err := b.Angle(0, 90)
	if err != nil || r.Chain(0).Microphone.LevelDB(1000) != 90 {
		t.Errorf("90° in use: %v", err)
	}
	if _, err := b.Angle(0, 45); !errors.Is(err, ErrRefused) {
		t.Errorf("an angle that is not there: %v", err)
	}
	m.Serial = "13"
	r, err = b.Curve(m, 0, "", curve(1))
	if err != nil || len(r.Calibrations.Curves[0].Angles) != 1 {
		t.Errorf("another microphone keeps the angles of the one before: %v", err)
	}
	m.At = day.AddDate(1, 0, 0)
	if _, err := b.Curve(m, 0, "", curve(1)); !errors.Is(err, ErrRefused) {
		t.Errorf("calibrated in the future: %v", err)
	}
	if f, err := b.Fixture("box", "a/b.txt", curve(2)); err != nil || f.Calibrations.Fixture.File != "b.txt" || f.Chain(0).Fixture == nil {
		t.Errorf("%v", err)
	}
}
