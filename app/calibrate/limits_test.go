package calibrate

import (
	"errors"
	"math"
	"testing"

	"stillroom/app/audio/simulated"
	"stillroom/app/model"
	"stillroom/app/rig"
)

// tweeter may be driven from 800 Hz up, with 4 V at most.
func tweeter() model.Limits {
	return model.Model{Name: "Wren tweeter", LowestHz: 800, HighestVolts: 4}.Limits()
}

// tenVolts is a rig whose output makes 10 V at full scale.
func tenVolts(r rig.Rig) rig.Rig {
	return r.WithOutput(rig.OutputLevel{Device: r.OutputDevice, Channel: r.OutputChannel, VoltsAtFS: 10})
}

// The tone of an output calibration keeps the limits of what is connected. In volts
// they cannot be known before the first calibration: −20 dBFS at most until then.
func TestToneKeepsTheLimitsOfAModel(t *testing.T) {
	for name, x := range map[string]struct {
		tone       Tone
		calibrated bool
		allowed    bool
	}{
		"low":                    {Tone{FrequencyHz: 190, LevelDBFS: -40}, true, false},
		"low, but nothing there": {Tone{FrequencyHz: 190, LevelDBFS: -40, Alone: true}, true, true},
		"high":                   {Tone{FrequencyHz: 1000, LevelDBFS: -40}, true, true},
		"not known, quiet":       {Tone{FrequencyHz: 1000, LevelDBFS: -20}, false, true},
		"not known, loud":        {Tone{FrequencyHz: 1000, LevelDBFS: -19}, false, false},
	} {
		r := testRig()
		r.LimitDBFS = 0
		if x.calibrated {
			r = tenVolts(r)
		}
		played := &room{hear: func(int, float64) float64 { return 0 }}
		b := benchOn(played, r)
		b.Limits = tweeter()
		o, err := b.Output(x.tone)
		if (err == nil) != x.allowed {
			t.Errorf("%s: %v", name, err)
		}
		if err != nil && !errors.Is(err, model.ErrLimit) {
			t.Errorf("%s: %v is no refusal by a limit", name, err)
		}
		if err == nil {
			if err := o.Play(t.Context()); err != nil || len(played.played.Play) != 1 {
				t.Errorf("%s: not played: %v", name, err)
			}
		}
	}
}

// A level check never plays below the lowest frequency nor above the highest voltage
// of what is connected: 4 V of 10 V are −7.96 dBFS.
func TestLevelCheckKeepsTheLimitsOfAModel(t *testing.T) {
	heard := &room{hear: func(n int, _ float64) float64 { return 1e-5 * math.Sin(float64(n*n)) }}
	b := benchOn(heard, tenVolts(testRig()))
	b.Rig.LimitDBFS, b.Limits = 0, tweeter()
	if _, err := b.LevelCheck(t.Context(), Levels{}); !errors.Is(err, model.ErrLimit) || heard.played.Play != nil {
		t.Errorf("from 20 Hz: %v", err)
	}
	b.Rig.Calibrations.Output = nil
	if _, err := b.LevelCheck(t.Context(), Levels{LowHz: 1600}); !errors.Is(err, model.ErrUnchecked) || heard.played.Play != nil {
		t.Errorf("volts not known: %v", err)
	}
	sim := simulatedBench(t, simulated.Options{Subject: "tweeter", NoiseDBFS: -50})
	sim.Rig = tenVolts(sim.Rig)
	sim.Limits = model.Limits{LowestHz: 800, HighestVolts: 0.4}
	got, err := sim.LevelCheck(t.Context(), Levels{LowHz: 1600})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range got.Steps {
		if s.LevelDBFS > 20*math.Log10(0.04)+1e-9 {
			t.Errorf("%.2f dBFS was played, 0.4 V are %.2f dBFS", s.LevelDBFS, 20*math.Log10(0.04))
		}
	}
	if got.Why != StopLimit {
		t.Errorf("stopped for %q after %+v", got.Why, got.Steps)
	}
}

// The sweep over a wire goes down to 10 Hz: where what is measured hangs on the output
// beside the wire its limits hold, else they do not.
func TestLoopbackKeepsTheLimitsOfAModel(t *testing.T) {
	b := simulatedBench(t, simulated.Options{Subject: "tweeter"})
	b.Limits = tweeter()
	if _, err := b.Loopback(t.Context(), Loop{Channel: simulated.LoopbackIn, Connected: true}); !errors.Is(err, model.ErrLimit) {
		t.Errorf("with the tweeter on the output: %v", err)
	}
	if _, err := b.Loopback(t.Context(), Loop{Channel: simulated.LoopbackIn, LengthS: 1}); err != nil {
		t.Errorf("with a wire alone: %v", err)
	}
}

// An open bench and a room have no response that a file could tell.
func TestFixturesWithAResponse(t *testing.T) {
	curve := rig.Curve{FrequencyHz: []float64{20, 20000}, MagnitudeDB: []float64{3, 3}}
	for _, k := range rig.FixtureKinds() {
		b := benchOn(nil, testRig())
		b.Rig.FixtureKind = k
		got, err := b.Fixture("place", "place.txt", curve)
		if k == rig.OpenBench || k == rig.Room {
			if !errors.Is(err, ErrRefused) || got.Calibrations.Fixture != nil {
				t.Errorf("%s: %v", k, err)
			}
			continue
		}
		if err != nil || got.Chain(0).Fixture == nil {
			t.Errorf("%s: %v", k, err)
		}
		got.FixtureKind = rig.Room
		if lines := got.Status(day); got.Chain(0).Fixture != nil || lines[len(lines)-1].State != rig.Foreign {
			t.Errorf("%s, then a room: it is still taken out: %+v", k, lines)
		}
	}
}
