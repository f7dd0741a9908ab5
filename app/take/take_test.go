package take

import (
	"context"
	"errors"
	"math"
	"reflect"
	"testing"

	"stillroom/app/audio"
	"stillroom/app/audio/simulated"
	"stillroom/app/rig"
	"stillroom/dsp/excitation"
)

func simulatedRig(t testing.TB, o simulated.Options) (*simulated.Rig, rig.Rig) {
	t.Helper()
	sim, err := simulated.New(o)
	if err != nil {
		t.Fatal(err)
	}
	return sim, rig.Rig{Name: "bench", Kind: "simulated", OutputDevice: simulated.DeviceID, InputDevice: simulated.DeviceID,
		RateHz: 48000, LevelDBFS: -20, LimitDBFS: -6, Fixture: o.Fixture}
}

func record(t testing.TB, sim audio.Interface, r rig.Rig, p excitation.Programme) *Take {
	t.Helper()
	one, err := Record(t.Context(), sim, r, p, Subject{Model: "Heron 6", Serial: "HR6-00001"}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return one
}

func analyse(t testing.TB, one *Take, set Settings, f []float64) *Analysis {
	t.Helper()
	s, err := NewStudy(one)
	if err != nil {
		t.Fatal(err)
	}
	a, err := s.AnalyseAt(set, f)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func logSpace(from, to float64, n int) []float64 {
	f := make([]float64, n)
	for i := range f {
		f[i] = from * math.Pow(to/from, float64(i)/float64(n-1))
	}
	return f
}

func TestSameTakeSameBits(t *testing.T) {
	sim, r := simulatedRig(t, simulated.Options{Subject: "two-way", Serial: "HR6-00001"})
	one := record(t, sim, r, DefaultProgramme(r))
	s, err := NewStudy(one)
	if err != nil {
		t.Fatal(err)
	}
	first, err := s.Analyse(DefaultSettings())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Analyse(Settings{Gate: Closing(0.003), Smoothing: 6, Orders: 3}); err != nil {
		t.Fatal(err)
	}
	again, err := NewStudy(one)
	if err != nil {
		t.Fatal(err)
	}
	second, err := again.Analyse(DefaultSettings())
	if err != nil {
		t.Fatal(err)
	}
	for _, pair := range [][2][]float64{
		{first.Response.MagnitudeDB, second.Response.MagnitudeDB}, {first.Response.PhaseDeg, second.Response.PhaseDeg},
		{first.THD.LevelDB, second.THD.LevelDB}, {first.Impulse.Value, second.Impulse.Value}, {first.Noise.LevelDB, second.Noise.LevelDB},
	} {
		for i := range pair[0] {
			if math.Float64bits(pair[0][i]) != math.Float64bits(pair[1][i]) {
				t.Fatalf("point %d differs: %v and %v", i, pair[0][i], pair[1][i])
			}
		}
	}
	if !reflect.DeepEqual(first.Findings, second.Findings) {
		t.Errorf("findings differ: %v, %v", first.Findings, second.Findings)
	}
}

// A finished loudspeaker in its box: the gate closes before the reflection that the
// room's geometry puts there, and the gated curve is the loudspeaker's own.
func TestGateFollowsTheRoom(t *testing.T) {
	sim, r := simulatedRig(t, simulated.Options{Subject: "two-way", Serial: "HR6-00002", Fixture: "open bench"})
	p := DefaultProgramme(r)
	f := logSpace(500, 15000, 200)
	a := analyse(t, record(t, sim, r, p), Settings{Gate: Gate{Auto: true}, Smoothing: 24, Orders: 5}, f)
	if a.Reflection == nil {
		t.Fatal("no reflection was found on the open bench")
	}
	strongest := sim.TrueImpulseReflections()[0]
	for _, x := range sim.TrueImpulseReflections() {
		if math.Abs(x.Ratio) > 0.1 {
			strongest = x
			break
		}
	}
	if math.Abs(a.Reflection.DelayS-strongest.DelayS) > 0.0003 {
		t.Errorf("first reflection after %.2f ms, the room puts it at %.2f ms", a.Reflection.DelayS*1e3, strongest.DelayS*1e3)
	}
	if a.Void() {
		t.Errorf("a clean take is void: %v", a.Findings)
	}
}
func TestRefusals(t *testing.T) {
	sim, r := simulatedRig(t, simulated.Options{})
	for name, change := range map[string]func(*excitation.Programme){
		"level over the limit": func(p *excitation.Programme) { p.LevelDBFS = -3 },
		"another rate":         func(p *excitation.Programme) { p.RateHz = 44100 },
		"band over the rate":   func(p *excitation.Programme) { p.HighHz = 23500 },
		"band upside down":     func(p *excitation.Programme) { p.LowHz, p.HighHz = 2000, 200 },
		"no duration":          func(p *excitation.Programme) { p.DurationS = 0 },
		"not a number":         func(p *excitation.Programme) { p.LevelDBFS = math.NaN() },
		"no repeats":           func(p *excitation.Programme) { p.Repeats = 0 },
	} {
		p := DefaultProgramme(r)
		change(&p)
		if _, err := Record(t.Context(), sim, r, p, Subject{}, nil); err == nil {
			t.Errorf("%s was played", name)
		}
	}
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	if one, err := Record(gone, sim, r, DefaultProgramme(r), Subject{}, nil); one != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled take came back as %v, %v", one, err)
	}
	one := record(t, sim, r, DefaultProgramme(r))
	one.PlayedSHA256 = "0"
	if _, err := NewStudy(one); err == nil {
		t.Error("a take whose sweep cannot be rendered again was analysed")
	}
}
