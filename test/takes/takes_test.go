// Package takes measures many simulated units and says how often what a take says
// about itself is right: no false alarm on clean takes, each fault found, and the
// corrections as good as they claim to be. It is statistics, not concurrency, and
// runs without the race detector.
package takes

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"stillroom/app/audio/simulated"
	"stillroom/app/take"
	"stillroom/dsp/excitation"
)

// measured records and analyses; nil where the recording holds no signal at all.
func measured(t testing.TB, o simulated.Options, set take.Settings, change func(*excitation.Programme)) *take.Analysis {
	t.Helper()
	sim, r := simulatedRig(t, o)
	p := take.DefaultProgramme(r)
	if o.Subject == "tweeter" {
		p.LowHz = 1000
	}
	if change != nil {
		change(&p)
	}
	one, err := take.Record(t.Context(), sim, r, p, take.Subject{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	s, err := take.NewStudy(one)
	if errors.Is(err, take.ErrNoSignal) {
		return nil
	}
	if err != nil {
		t.Fatal(err)
	}
	a, err := s.Analyse(set)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func find(a *take.Analysis, code string) (take.Finding, bool) {
	for _, f := range a.Findings {
		if f.Code == code {
			return f, true
		}
	}
	return take.Finding{}, false
}

// 200 clean takes of varied units, in noise down to 40 dB: no void, and remarks in
// under 2 %. The noise is that of the recording; 40 dB is its distance to the
// recorded sweep.
func TestCleanTakesStaySilent(t *testing.T) {
	const takes = 200
	subjects := []string{"two-way", "woofer", "tweeter", "headphone"}
	remarks, void := 0, 0
	for n := range takes {
		o := simulated.Options{Subject: subjects[n%4], Serial: fmt.Sprintf("unit %d", n), Seed: uint64(n), NoiseDBFS: -75 - float64(n%3)*5}
		a := measured(t, o, take.DefaultSettings(), func(p *excitation.Programme) {
			p.Repeats = 1 + n%7/6
			p.DurationS = 0.7 + 0.8*float64(n/4%4)
		})
		for _, f := range a.Findings {
			if f.Severity == take.Note || f.Code == "noisy-band" || f.Code == "low-signal" {
				continue // what noise does is told, and is no false alarm
			}
			if f.Severity == take.Void {
				void++
			}
			remarks++
			t.Logf("take %d, %s at %g dBFS noise: %s %s %.2f: %s", n, o.Subject, o.NoiseDBFS, f.Severity, f.Code, f.Value, f.Message)
		}
	}
	t.Logf("%d remarks, %d of them void, in %d takes", remarks, void, takes)
	if void > 0 || remarks > takes*2/100 {
		t.Errorf("%d remarks, %d of them void, in %d clean takes", remarks, void, takes)
	}
}

// Each fault is found on four subjects and three seeds.
func TestFaultsAreFound(t *testing.T) {
	for _, c := range []struct {
		fault, code string
		severity    take.Severity
	}{
		{"clip", "clipped", take.Void}, {"silent", "no-signal", take.Void}, {"inverted", "inverted", take.Remark},
		{"lost-block:1", "lost-samples", take.Void}, {"lost-block:64", "lost-samples", take.Void}, {"lost-block:480", "lost-samples", take.Void},
		{"clock-drift:1", "clock-drift", take.Note}, {"clock-drift:-10", "clock-drift", take.Note}, {"clock-drift:200", "clock-drift", take.Note},
		{"dc:0.02", "dc-offset", take.Note}, {"hum:-60", "hum", take.Remark}, {"click", "click", take.Remark}, {"fade-in", "start-muted", take.Void},
	} {
		missed := 0
		for n := range 12 {
			subject := []string{"two-way", "woofer", "tweeter", "headphone"}[n%4]
			a := measured(t, simulated.Options{Subject: subject, Serial: "unit", Seed: uint64(100 + n), Faults: []string{c.fault}}, take.DefaultSettings(), nil)
			if a == nil {
				if c.code != "no-signal" {
					t.Errorf("%s: no signal", c.fault)
				}
				continue
			}
			if f, ok := find(a, c.code); !ok || f.Severity != c.severity {
				missed++
				t.Logf("%s on %s, seed %d: %v", c.fault, subject, 100+n, a.Findings)
			}
		}
		if missed > 0 {
			t.Errorf("%s: %s %s missed in %d of 12", c.fault, c.severity, c.code, missed)
		}
	}
}

// A drifting clock, corrected: within 0.05 dB and 2° of the clock that does not
// drift, up to 16 kHz and after gating, one sweep and four.
func TestDriftIsCorrected(t *testing.T) {
	gate := take.Settings{Gate: take.Closing(0.0045), Orders: 5}
	for _, repeats := range []int{1, 4} {
		change := func(p *excitation.Programme) { p.Repeats = repeats }
		still := measured(t, simulated.Options{Subject: "two-way", Serial: "unit", Seed: 1, Quiet: true}, gate, change)
		for _, ppm := range []float64{0, 1, -1, 10, -10, 50, -50, 200, -200} {
			a := measured(t, simulated.Options{Subject: "two-way", Serial: "unit", Seed: 1, NoiseDBFS: -90, Faults: []string{fmt.Sprintf("clock-drift:%g", ppm)}}, gate, change)
			if math.Abs(a.DriftPPM-ppm) > 0.02 {
				t.Errorf("%d sweeps, %g ppm: estimated as %.3f ppm", repeats, ppm, a.DriftPPM)
			}
			db, deg := 0.0, 0.0
			for i, f := range a.Response.FrequencyHz {
				if f < a.Response.ValidFromHz || f > 16000 {
					continue
				}
				db = math.Max(db, math.Abs(a.Response.MagnitudeDB[i]-still.Response.MagnitudeDB[i]))
				turn := a.Response.PhaseDeg[i] - still.Response.PhaseDeg[i]
				deg = math.Max(deg, math.Abs(math.Remainder(turn, 360)))
			}
			t.Logf("%d sweeps, %4g ppm: %.4f ppm; response %.4f dB, %.3f° off", repeats, ppm, a.DriftPPM, db, deg)
			if !(db < 0.05) || !(deg < 2) {
				t.Errorf("%d sweeps, %g ppm: response %.3f dB, %.2f° off", repeats, ppm, db, deg)
			}
		}
	}
}

// With a slam in one of four sweeps, the average is as good as without.
func TestSpoiledRepeatIsLeftOut(t *testing.T) {
	set := take.Settings{Gate: take.Closing(0.0045), Smoothing: 24}
	four := func(p *excitation.Programme) { p.Repeats = 4 }
	clean := measured(t, simulated.Options{Subject: "woofer", Serial: "unit", Seed: 5}, set, four)
	spoiled := measured(t, simulated.Options{Subject: "woofer", Serial: "unit", Seed: 5, Faults: []string{"click:-20"}}, set, four)
	if len(clean.Repeats.Spoiled) > 0 {
		t.Errorf("stretches of repeats %v of a clean take were left out", clean.Repeats.Spoiled)
	}
	if len(spoiled.Repeats.Spoiled) != 1 {
		t.Fatalf("a click in one of four sweeps spoiled %v: %v", spoiled.Repeats.Spoiled, spoiled.Findings)
	}
	worst := 0.0
	for i, f := range clean.Response.FrequencyHz {
		if f > 300 && f < 16000 {
			worst = math.Max(worst, math.Abs(clean.Response.MagnitudeDB[i]-spoiled.Response.MagnitudeDB[i]))
		}
	}
	t.Logf("with a click in one of four sweeps: %.4f dB off; %v", worst, spoiled.Findings)
	if worst > 0.02 {
		t.Errorf("with a click in one of four sweeps the average is %.3f dB off", worst)
	}
}
