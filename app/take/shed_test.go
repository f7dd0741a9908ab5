package take

import (
	"bytes"
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"stillroom/app/audio/simulated"
	"stillroom/app/rig"
)

// throughJSON is a take as the records give it back.
func throughJSON(t *testing.T, one *Take) *Take {
	t.Helper()
	text, err := json.Marshal(one)
	if err != nil {
		t.Fatal(err)
	}
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	var back Take
	if err := decoder.Decode(&back); err != nil {
		t.Fatal(err)
	}
	return &back
}

func worst(a, b []float64) (largest float64) {
	for i := range a {
		if math.IsNaN(a[i]) != math.IsNaN(b[i]) {
			return math.Inf(1)
		}
		if d := math.Abs(a[i] - b[i]); d > largest {
			largest = d
		}
	}
	return largest
}

// Without its recording a take says the same as with it: samples rounded to float32
// are off by 2^-24 of themselves at most, which is 144 dB below.
func TestShedTakeSaysTheSame(t *testing.T) {
	shedOn := time.Date(2026, 3, 9, 10, 0, 0, 0, time.UTC)
	for name, change := range map[string]func(*rig.Rig){
		"one microphone":  func(*rig.Rig) {},
		"two microphones": func(r *rig.Rig) { r.MoreMicrophones = []rig.Microphone{{Channel: 1, Name: "second"}} },
	} {
		t.Run(name, func(t *testing.T) {
			sim, r := simulatedRig(t, simulated.Options{Subject: "two-way", Serial: "HR6-00002", Fixture: "open bench"})
			change(&r)
			p := DefaultProgramme(r)
			p.DurationS, p.Repeats = 1, 2
			one := record(t, sim, r, p)
			shed, err := Shed(one, shedOn)
			if err != nil {
				t.Fatal(err)
			}
			if len(one.Capture.Channels) == 0 || len(shed.Capture.Channels) != 0 {
				t.Fatal("the recording went out of the wrong take")
			}
			back := throughJSON(t, shed)
			a, b := wholeOf(t, one, one.Settings), wholeOf(t, back, one.Settings)
			sameAnalysis(t, a, b)
			// a gate that nobody chose before works as well
			other := Settings{Gate: Closing(0.0025), Smoothing: 6, Orders: 3}
			c, d := wholeOf(t, one, other), wholeOf(t, back, other)
			if off := worst(c.Response.MagnitudeDB, d.Response.MagnitudeDB); off > 1e-4 {
				t.Errorf("with another gate the response is off by %g dB", off)
			}
			if len(d.Harmonics) != 2 {
				t.Errorf("%d orders of the two asked for", len(d.Harmonics))
			}
			i := slices.IndexFunc(b.Findings, func(f Finding) bool { return f.Code == noRecording })
			if i < 0 || !strings.Contains(b.Findings[i].Message, "9 March 2026") || !strings.Contains(b.Findings[i].Message, "1/24") {
				t.Errorf("nothing is said of the missing recording: %+v", b.Findings)
			}
			if _, err := Shed(back, shedOn); err == nil {
				t.Error("it was shed twice")
			}
		})
	}
}

func wholeOf(t *testing.T, one *Take, set Settings) *Analysis {
	t.Helper()
	s, err := NewStudy(one)
	if err != nil {
		t.Fatal(err)
	}
	a, err := s.Analyse(set)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func sameAnalysis(t *testing.T, a, b *Analysis) {
	t.Helper()
	for _, x := range []struct {
		what string
		a, b []float64
		most float64
	}{
		{"response", a.Response.MagnitudeDB, b.Response.MagnitudeDB, 1e-4},
		{"phase", a.Response.PhaseDeg, b.Response.PhaseDeg, 1e-2},
		{"noise", a.Noise.LevelDB, b.Noise.LevelDB, 1e-4},
		{"uncertainty", a.Response.UncertaintyDB, b.Response.UncertaintyDB, 1e-4},
		{"THD", a.THD.LevelDB, b.THD.LevelDB, 1e-4},
		{"impulse", a.Impulse.Value, b.Impulse.Value, 1e-6},
	} {
		if len(x.a) == 0 || len(x.a) != len(x.b) {
			t.Errorf("%s: %d and %d values", x.what, len(x.a), len(x.b))
		} else if off := worst(x.a, x.b); off > x.most {
			t.Errorf("%s is off by %g", x.what, off)
		}
	}
	if a.DelayS != b.DelayS || a.Polarity != b.Polarity || a.TimeZero != b.TimeZero || a.Unit != b.Unit || len(a.Microphones) != len(b.Microphones) {
		t.Errorf("%v %v %v %v and %v %v %v %v", a.DelayS, a.Polarity, a.TimeZero, a.Unit, b.DelayS, b.Polarity, b.TimeZero, b.Unit)
	}
	if math.Abs(a.Readings.MeanDB-b.Readings.MeanDB) > 1e-4 || math.Abs(a.Noise.SNRDB-b.Noise.SNRDB) > 1e-3 || len(a.Harmonics) != len(b.Harmonics) {
		t.Errorf("readings %+v and %+v", a.Readings, b.Readings)
	}
	for _, f := range a.Findings {
		if !slices.ContainsFunc(b.Findings, func(g Finding) bool { return g.Code == f.Code && g.Severity == f.Severity }) {
			t.Errorf("the finding %q is gone", f.Code)
		}
	}
}

// A take that cannot be read keeps its recording.
func TestWhatCannotBeReadIsNotShed(t *testing.T) {
	sim, r := simulatedRig(t, simulated.Options{})
	p := DefaultProgramme(r)
	p.DurationS = 0.5
	one := record(t, sim, r, p)
	for i := range one.Capture.Channels[0] {
		one.Capture.Channels[0][i] = 0
	}
	if _, err := Shed(one, time.Now()); err == nil || !strings.Contains(err.Error(), "the recording stays") {
		t.Errorf("silence was shed: %v", err)
	}
}

// An impulse response from a file is a take that says what it does not know.
func TestImportedImpulse(t *testing.T) {
	samples := make(Floats, 4800)
	samples[100] = 0.5
	one := &Take{ID: "x", Impulses: &Impulses{Origin: Imported, From: "ir.wav", RateHz: 48000, Microphones: []ImpulseOf{{Samples: samples}}}}
	set := DefaultSettings()
	set.Smoothing = 0
	a := wholeOf(t, throughJSON(t, one), set)
	for i, hz := range a.Response.FrequencyHz {
		if hz > 100 && hz < 20000 && math.Abs(a.Response.MagnitudeDB[i]-20*math.Log10(0.5)) > 0.01 {
			t.Fatalf("at %g Hz a half is %g dB", hz, a.Response.MagnitudeDB[i])
		}
	}
	if len(a.Harmonics) != 0 || a.Findings[0].Code != noRecording || !strings.Contains(a.Findings[0].Message, "ir.wav") {
		t.Errorf("%+v", a.Findings)
	}
}
