package take

import (
	"context"
	"errors"
	"math"
	"math/cmplx"
	"math/rand"
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

// errors of an analysis against a true response: dB, and degrees once the delay
// between the true arrival and the estimated one is taken out.
func errorsAgainst(a *Analysis, truth []complex128, trueDelayS, from, to float64) (db, deg float64) {
	for i, f := range a.Response.FrequencyHz {
		if f < from || f > to {
			continue
		}
		db = math.Max(db, math.Abs(a.Response.MagnitudeDB[i]-20*math.Log10(cmplx.Abs(truth[i]))))
		turn := a.Response.PhaseDeg[i] - 360*f*(a.DelayS-trueDelayS) - cmplx.Phase(truth[i])*180/math.Pi
		deg = math.Max(deg, math.Abs(math.Remainder(turn, 360)))
	}
	return db, deg
}

// The published filters through the whole path, at four rates: 3 s, no noise.
func TestKnownDeviceThroughTheSimulatedPath(t *testing.T) {
	for _, rate := range []float64{44100, 48000, 96000, 192000} {
		sim, r := simulatedRig(t, simulated.Options{Subject: "biquads", Before: chain()})
		r.RateHz = rate
		p := DefaultProgramme(r)
		p.DurationS = 3
		f := logSpace(20, 20000, 300)
		a := analyse(t, record(t, sim, r, p), Settings{Gate: Gate{Auto: true}}, f)
		truth, err := sim.TrueResponse(rate, f)
		if err != nil {
			t.Fatal(err)
		}
		db, deg := errorsAgainst(a, truth, sim.TrueDelayS(), 40, 18000)
		dbAll, _ := errorsAgainst(a, truth, sim.TrueDelayS(), 20, 20000)
		t.Logf("%6.0f Hz: %.5f dB, %.4f° from 40 Hz to 18 kHz; %.5f dB from 20 Hz to 20 kHz; arrival off by %.4f samples", rate, db, deg, dbAll, (a.DelayS-sim.TrueDelayS())*rate)
		if !(db < 0.01) || !(deg < 0.1) || !(dbAll < 0.05) {
			t.Errorf("%g Hz: off by %.4f dB, %.3f°; %.4f dB over all", rate, db, deg, dbAll)
		}
		if a.Polarity != "normal" || math.Abs(a.DriftPPM) > 0.001 {
			t.Errorf("%g Hz: polarity %s, drift %.4f ppm", rate, a.Polarity, a.DriftPPM)
		}
	}
}

// Orders 2 to 5 of a polynomial device against the closed form, down to −80 dB.
func TestPolynomialThroughTheSimulatedPath(t *testing.T) {
	for _, rate := range []float64{44100, 48000, 96000, 192000} {
		sim, r := simulatedRig(t, simulated.Options{Subject: "polynomial", Polynomial: []float64{1, 0.02, 0.05, 0.4, 1}})
		r.RateHz = rate
		p := DefaultProgramme(r)
		p.DurationS, p.LevelDBFS = 3, -12
		f := logSpace(40, 9000, 150)
		a := analyse(t, record(t, sim, r, p), Settings{Gate: Gate{Auto: true}, Orders: 5}, f)
		seen := 0
		for _, h := range a.Harmonics {
			off := 0.0
			for i, hz := range f {
				if hz < h.FromHz || hz > h.ToHz {
					continue
				}
				one, _ := sim.TrueHarmonic(rate, hz, 1, p.Amplitude())
				c, err := sim.TrueHarmonic(rate, hz, h.Order, p.Amplitude())
				if err != nil {
					t.Fatal(err)
				}
				want := 20 * math.Log10(cmplx.Abs(c/one))
				if want < -80 {
					t.Fatalf("order %d lies at %.1f dB: choose other coefficients", h.Order, want)
				}
				off = math.Max(off, math.Abs(h.LevelDB[i]-want))
				seen++
			}
			t.Logf("%6.0f Hz, order %d: %.4f dB from %.1f to %.0f Hz", rate, h.Order, off, h.FromHz, h.ToHz)
			if !(off < 0.1) {
				t.Errorf("%g Hz, order %d: off by %.3f dB", rate, h.Order, off)
			}
		}
		if seen < 300 {
			t.Errorf("only %d points compared", seen)
		}
	}
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

func TestFaultsAreFound(t *testing.T) {
	for _, c := range []struct {
		fault, code string
		severity    Severity
	}{
		{"clip", "clipped", Void}, {"silent", "no-signal", Void}, {"inverted", "inverted", Remark},
		{"lost-block:480", "lost-samples", Void}, {"clock-drift:50", "clock-drift", Note}, {"dc:0.02", "dc-offset", Note},
		{"noise:-22", "low-signal", Remark},
	} {
		sim, r := simulatedRig(t, simulated.Options{Subject: "two-way", Serial: "HR6-00003", Faults: []string{c.fault}, Seed: 3})
		one, err := Record(t.Context(), sim, r, DefaultProgramme(r), Subject{}, nil)
		if err != nil {
			t.Fatalf("%s: %v", c.fault, err)
		}
		s, err := NewStudy(one)
		if errors.Is(err, ErrNoSignal) && c.code == "no-signal" {
			continue
		}
		if err != nil {
			t.Fatalf("%s: %v", c.fault, err)
		}
		a, err := s.Analyse(DefaultSettings())
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, f := range a.Findings {
			found = found || f.Code == c.code && f.Severity == c.severity
		}
		if !found {
			t.Errorf("%s: findings %v, want %s %s", c.fault, a.Findings, c.severity, c.code)
		}
	}
}

func TestCleanTakesAreClean(t *testing.T) {
	for seed := range 12 {
		subject := []string{"two-way", "woofer", "tweeter", "headphone"}[seed%4]
		sim, r := simulatedRig(t, simulated.Options{Subject: subject, Serial: "unit " + string(rune('a'+seed)), Seed: uint64(seed)})
		p := DefaultProgramme(r)
		if subject == "tweeter" {
			p.LowHz = 1000
		}
		a := analyse(t, record(t, sim, r, p), DefaultSettings(), logSpace(20, 20000, 500))
		for _, f := range a.Findings {
			if f.Severity != Note {
				t.Errorf("%s, seed %d: %s %s: %s", subject, seed, f.Severity, f.Code, f.Message)
			}
		}
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

// A pair of signals made elsewhere: the other published sweep with leading silence
// and an unknown latency, and noise.
func TestForeignStimuli(t *testing.T) {
	const rate = 48000
	l := 3 / math.Log(1000)
	sweep := make([]float64, 4*rate)
	for n := range 3 * rate {
		sweep[rate/2+n] = 0.5 * math.Sin(2*math.Pi*20*l*(math.Exp(float64(n)/rate/l)-1))
	}
	rng := rand.New(rand.NewSource(9))
	noise := make([]float64, 3*rate)
	for n := rate / 4; n < 2*rate; n++ {
		noise[n] = 0.2 * rng.NormFloat64()
	}
	filters := publishedFilters(t, "highpass 80", "peaking 1000")
	for name, stimulus := range map[string][]float64{"sweep": sweep, "noise": noise} {
		for _, latency := range []int{0, 1, 4321, -2000} {
			recording := make([]float64, len(stimulus)+rate)
			for n := range recording {
				if k := n - latency; k >= 0 && k < len(stimulus) {
					recording[n] = -stimulus[k]
				}
			}
			for _, b := range filters {
				recording = b.run(recording)
			}
			s, err := NewStudyOf(stimulus, recording, rate)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			f := logSpace(50, 15000, 100)
			if name == "sweep" {
				f = logSpace(20, 20000, 100) // all of it, though it starts and ends at once
			}
			a, err := s.AnalyseAt(Settings{Gate: Gate{Auto: true}, Orders: 5}, f)
			if err != nil {
				t.Fatal(err)
			}
			truth := make([]complex128, len(f))
			for i := range f {
				truth[i] = -1
				for _, b := range filters {
					truth[i] *= b.at(f[i])
				}
			}
			db, deg := errorsAgainst(a, truth, float64(latency)/rate, 100, 15000)
			t.Logf("%s, latency %d: %.4f dB %.3f°, kind %q, polarity %s, %d orders", name, latency, db, deg, a.Excitation.Kind, a.Polarity, len(a.Harmonics))
			for i, v := range a.Response.MagnitudeDB {
				if name == "sweep" && !(math.Abs(v-20*math.Log10(cmplx.Abs(truth[i]))) < 0.05) {
					t.Errorf("at %.1f Hz: %.3f dB, is %.3f dB", f[i], v, 20*math.Log10(cmplx.Abs(truth[i])))
				}
			}
			if !(db < 0.05) || !(deg < 1) || a.Polarity != "inverted" {
				t.Errorf("%s, latency %d: off by %.3f dB, %.2f°, polarity %s", name, latency, db, deg, a.Polarity)
			}
			if (name == "sweep") != (len(a.Harmonics) > 0) {
				t.Errorf("%s: %d harmonic orders", name, len(a.Harmonics))
			}
		}
	}
}
