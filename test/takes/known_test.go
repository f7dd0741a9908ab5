package takes

import (
	"math"
	"math/cmplx"
	"math/rand"
	"testing"

	"stillroom/app/audio/simulated"
	"stillroom/app/take"
)

// errors of an analysis against a true response: dB, and degrees once the delay
// between the true arrival and the estimated one is taken out.
func errorsAgainst(a *take.Analysis, truth []complex128, trueDelayS, from, to float64) (db, deg float64) {
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
		p := take.DefaultProgramme(r)
		p.DurationS = 3
		f := logSpace(20, 20000, 300)
		a := analyse(t, record(t, sim, r, p), take.Settings{Gate: take.Gate{Auto: true}}, f)
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
		p := take.DefaultProgramme(r)
		p.DurationS, p.LevelDBFS = 3, -12
		f := logSpace(40, 9000, 150)
		a := analyse(t, record(t, sim, r, p), take.Settings{Gate: take.Gate{Auto: true}, Orders: 5}, f)
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
			s, err := take.NewStudyOf(stimulus, recording, rate)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			f := logSpace(50, 15000, 100)
			if name == "sweep" {
				f = logSpace(20, 20000, 100) // all of it, though it starts and ends at once
			}
			a, err := s.AnalyseAt(take.Settings{Gate: take.Gate{Auto: true}, Orders: 5}, f)
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

// Sweeps of any length find their place, though the closing mark is the opening one
// once more.
func TestSweepsOfAnyLengthFindTheirPlace(t *testing.T) {
	for _, seconds := range []float64{0.2, 0.4, 0.5, 0.7, 1, 1.5, 3} {
		for _, subject := range []string{"two-way", "wire", "headphone"} {
			sim, r := simulatedRig(t, simulated.Options{Subject: subject, Serial: "unit", Seed: 8})
			p := take.DefaultProgramme(r)
			p.DurationS, p.LevelDBFS = seconds, -12
			a := analyse(t, record(t, sim, r, p), take.DefaultSettings(), logSpace(20, 20000, 450))
			if math.Abs(a.DelayS-sim.TrueDelayS()) > 0.0005 || a.Void() {
				t.Errorf("%s, %g s: delay %.2f ms, is %.2f ms; %v", subject, seconds, a.DelayS*1e3, sim.TrueDelayS()*1e3, a.Findings)
			}
		}
	}
}
