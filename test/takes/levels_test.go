package takes

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"
	"testing"
	"time"

	"stillroom/app/audio/simulated"
	"stillroom/app/rig"
	"stillroom/app/take"
)

// calibrated is a rig of 10 Pa and 2 V at full scale, into 8 Ω, half a metre away.
func calibrated(r rig.Rig) rig.Rig {
	stamp := rig.StampOf(time.Now(), "MR")
	r.RatedImpedanceOhm, r.DistanceM = 8, 0.5
	r = r.WithOutput(rig.OutputLevel{Stamp: stamp, Device: r.OutputDevice, Channel: r.OutputChannel, VoltsAtFS: 2, UncertaintyDB: 0.05})
	return r.WithInput(rig.InputLevel{Stamp: stamp, Device: r.InputDevice, Channel: r.InputChannel, PascalAtFS: 10, FrequencyHz: 1000, UncertaintyDB: 0.2})
}

// A wire of gain one: its levels follow from the two calibrations alone. 1 Pa is
// 93.979 dB, 2.83 V into 8 Ω is 1.0011 W (levels of IEC 60268-5, closed forms).
func TestLevelsFollowFromTheCalibrations(t *testing.T) {
	sim, r := simulatedRig(t, simulated.Options{Subject: "wire"})
	r = calibrated(r)
	one := record(t, sim, r, take.DefaultProgramme(r))
	s, err := take.NewStudy(one)
	if err != nil {
		t.Fatal(err)
	}
	pa := 93.9794000867203760 // dB SPL of 1 Pa
	for _, c := range []struct {
		level take.Level
		metre bool
		want  float64
		unit  string
	}{
		{take.ReStimulus, false, 0, "dB re the stimulus"},
		{take.SPL, false, pa + 20 - 20, "dB SPL"}, // 10 Pa at full scale, 20 dB below it
		{take.SPL, true, pa + 20*math.Log10(0.5), "dB SPL at 1 m"},
		{take.SPLAt2V83, false, pa + 20*math.Log10(10*2.83/2), "dB SPL for 2.83 V"},
		{take.SPLAt1W, true, pa + 20*math.Log10(10*math.Sqrt(8)/2*0.5), "dB SPL for 1 W into 8 Ω at 1 m"},
		{take.PerVolt, false, pa + 20*math.Log10(10.0/2), "dB SPL for 1 V"},
		{take.PerMilliwatt, false, pa + 20*math.Log10(10*math.Sqrt(0.008)/2), "dB SPL for 1 mW into 8 Ω"},
	} {
		a, err := s.AnalyseAt(take.Settings{Gate: take.Ungated(), Level: c.level, OneMetre: c.metre}, []float64{1000})
		if err != nil {
			t.Fatal(err)
		}
		if got := a.Response.MagnitudeDB[0]; math.Abs(got-c.want) > 0.001 || a.Unit != c.unit {
			t.Errorf("%q, 1 m %v: %.4f %s, want %.4f %s", c.level, c.metre, got, a.Unit, c.want, c.unit)
		}
		if want := pa + 20*math.Log10(10*2.83/2*0.5); math.Abs(a.Readings.SensitivityDB-want) > 0.005 || math.Abs(a.Readings.DriveVolts-0.2) > 1e-9 {
			t.Errorf("sensitivity %.4f dB, want %.4f; drive %.4f V, want 0.2", a.Readings.SensitivityDB, want, a.Readings.DriveVolts)
		}
	}
}

func TestNoPascalsWithoutCalibration(t *testing.T) {
	sim, r := simulatedRig(t, simulated.Options{Subject: "wire"})
	a := analyse(t, record(t, sim, r, take.DefaultProgramme(r)), take.Settings{Gate: take.Ungated(), Level: take.SPLAt2V83}, []float64{1000})
	if !strings.Contains(a.Unit, "not calibrated") || math.Abs(a.Response.MagnitudeDB[0]) > 0.001 || !math.IsNaN(a.Readings.SensitivityDB) {
		t.Errorf("%.3f %q, sensitivity %g", a.Response.MagnitudeDB[0], a.Unit, a.Readings.SensitivityDB)
	}
}

// A device that is its own microphone curve measures flat once the curve is taken
// out, in level and in phase; harmonics are corrected at both frequencies.
func TestMicrophoneCurveIsTakenOutOnce(t *testing.T) {
	filter := publishedFilters(t, "peaking 3000")[0]
	sim, r := simulatedRig(t, simulated.Options{Subject: "biquads", After: []simulated.Biquad{{Kind: "peaking", FrequencyHz: 3000, Q: peaking3000Q, GainDB: peaking3000DB}}})
	var curve rig.Curve
	for f := 10.0; f < 23000; f *= 1.005 {
		h := filter.at(f)
		curve.FrequencyHz = append(curve.FrequencyHz, f)
		curve.MagnitudeDB = append(curve.MagnitudeDB, 20*math.Log10(cmplx.Abs(h)))
		curve.PhaseDeg = append(curve.PhaseDeg, cmplx.Phase(h)*180/math.Pi)
	}
	r = r.WithCurve(rig.MicrophoneCurve{Channel: 0, Angles: []rig.CurveAngle{{Curve: curve}}, UncertaintyDB: 0.3})
	f := logSpace(30, 18000, 200)
	a := analyse(t, record(t, sim, r, take.DefaultProgramme(r)), take.Settings{Gate: take.Ungated(), Orders: 3}, f)
	worst := 0.0
	for i := range f {
		worst = math.Max(worst, math.Abs(a.Response.MagnitudeDB[i]))
		turn := math.Remainder(a.Response.PhaseDeg[i]-360*f[i]*(a.DelayS-simulated.LatencyS), 360)
		if math.Abs(turn) > 0.3 {
			t.Fatalf("at %.0f Hz %.2f° are left", f[i], turn)
		}
		if u := a.Response.UncertaintyDB[i]; !(u >= 0.6 && u < 0.7) {
			t.Fatalf("uncertainty %.3f dB with a curve known to 0.3 dB (k = 1)", u)
		}
	}
	if worst > 0.005 {
		t.Errorf("%.4f dB of the curve are left", worst)
	}
}

// With the loopback wired, time counts from the output: the delay is the time of
// flight and the interface's latency drops out, so that takes compare.
func TestLoopbackGivesTimeOfFlight(t *testing.T) {
	for _, metres := range []float64{0.3, 0.6} {
		sim, r := simulatedRig(t, simulated.Options{Subject: "woofer", Serial: "a", Fixture: "none", DistanceM: metres, Faults: []string{"clock-drift:40"}})
		r.LoopbackChannel, r.DistanceM = simulated.LoopbackIn+1, metres
		a := analyse(t, record(t, sim, r, take.DefaultProgramme(r)), take.Settings{Gate: take.Ungated(), Smoothing: 24}, logSpace(50, 18000, 500))
		flight := sim.TrueDelayS() - simulated.LatencyS
		if a.TimeZero != "output" || math.Abs(a.DelayS-flight) > 4e-5 || math.Abs(a.Readings.DistanceM-metres) > 0.02 {
			t.Errorf("%g m: %s, delay %.4f ms, is %.4f ms; distance %.3f m", metres, a.TimeZero, a.DelayS*1e3, flight*1e3, a.Readings.DistanceM)
		}
		truth, err := sim.TrueResponse(48000, a.Response.FrequencyHz)
		if err != nil {
			t.Fatal(err)
		}
		for i, f := range a.Response.FrequencyHz {
			if f < 100 || f > 6000 { // higher up the woofer nears the noise
				continue
			}
			turn := math.Remainder(a.Response.PhaseDeg[i]-cmplx.Phase(truth[i])*180/math.Pi+360*f*flight, 360)
			if math.Abs(turn) > 1 {
				t.Fatalf("%g m: absolute phase at %.0f Hz is %.1f° off", metres, f, turn)
			}
		}
		if a.Void() {
			t.Errorf("void: %v", a.Findings)
		}
	}
}

func TestLoopbackThatCarriesNothing(t *testing.T) {
	sim, r := simulatedRig(t, simulated.Options{Subject: "woofer", Serial: "a"})
	r.LoopbackChannel = simulated.IdleIn + 1
	one := record(t, sim, r, take.DefaultProgramme(r))
	if _, err := take.NewStudy(one); err == nil || !strings.Contains(err.Error(), "loopback") {
		t.Errorf("a loopback channel with nothing on it: %v", err)
	}
}

// Two microphones in one sweep: kept apart, and their power mean.
func TestSeveralMicrophones(t *testing.T) {
	sim, r := simulatedRig(t, simulated.Options{Subject: "two-way", Serial: "a", Fixture: "room"})
	r.MoreMicrophones = []rig.Microphone{{Channel: simulated.SecondIn, Name: "B", Place: "left seat"}}
	a := analyse(t, record(t, sim, r, take.DefaultProgramme(r)), take.DefaultSettings(), logSpace(100, 10000, 450))
	if len(a.Microphones) != 2 || a.Average == nil || a.Microphones[1].Name != "B, left seat" {
		t.Fatalf("%d microphones, average %v", len(a.Microphones), a.Average != nil)
	}
	for i := range a.Average.MagnitudeDB {
		x, y := a.Microphones[0].Response.MagnitudeDB[i], a.Microphones[1].Response.MagnitudeDB[i]
		want := 10 * math.Log10((math.Pow(10, x/10)+math.Pow(10, y/10))/2)
		if math.Abs(a.Average.MagnitudeDB[i]-want) > 1e-9 {
			t.Fatalf("point %d: mean of %.2f and %.2f dB is given as %.2f", i, x, y, a.Average.MagnitudeDB[i])
		}
	}
}

// Of two microphones only one is calibrated: no mean of pascals and digits.
func TestNoAverageOfDifferentUnits(t *testing.T) {
	sim, r := simulatedRig(t, simulated.Options{Subject: "two-way", Serial: "a"})
	r = calibrated(r)
	r.MoreMicrophones = []rig.Microphone{{Channel: simulated.SecondIn}}
	a := analyse(t, record(t, sim, r, take.DefaultProgramme(r)), take.Settings{Gate: take.Ungated(), Level: take.SPL}, []float64{1000})
	if a.Average != nil || len(a.Microphones) != 2 {
		t.Errorf("an average was made of %d microphones in two units", len(a.Microphones))
	}
	for _, f := range a.Findings {
		if f.Code == "calibration-old" {
			return
		}
	}
	t.Errorf("nothing was said of it: %v", a.Findings)
}

// Averaging a take with itself changes nothing and has no spread; seatings that
// differ by a known amount have it.
func TestTogether(t *testing.T) {
	sim, r := simulatedRig(t, simulated.Options{Subject: "headphone", Serial: "a"})
	a := analyse(t, record(t, sim, r, take.DefaultProgramme(r)), take.DefaultSettings(), logSpace(20, 18000, 450))
	g, err := take.Together([]*take.Analysis{a, a, a})
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range g.Mean.MagnitudeDB {
		if math.Abs(v-a.Response.MagnitudeDB[i]) > 1e-9 || g.SpreadDB[i] > 1e-6 {
			t.Fatalf("point %d: %.4f dB became %.4f, spread %.2e", i, a.Response.MagnitudeDB[i], v, g.SpreadDB[i])
		}
	}
	if len(g.Findings) != 0 {
		t.Errorf("%v", g.Findings)
	}
	b := *a
	b.Response.MagnitudeDB = append([]float64(nil), a.Response.MagnitudeDB...)
	for i, f := range b.Response.FrequencyHz {
		if f < 80 {
			b.Response.MagnitudeDB[i] -= 4 // leaks
		}
	}
	if g, err = take.Together([]*take.Analysis{a, &b}); err != nil {
		t.Fatal(err)
	}
	if len(g.Findings) != 1 || g.Findings[0].Code != "repeats-differ" || math.Abs(g.SpreadDB[5]-4/math.Sqrt2) > 1e-6 {
		t.Errorf("spread %.3f dB, findings %v", g.SpreadDB[5], g.Findings)
	}
}

// Limits in volts: kept where the output is calibrated, refused where it is not.
func TestVoltageLimit(t *testing.T) {
	_, r := simulatedRig(t, simulated.Options{})
	r.MaxVolts = 0.1
	if err := take.CheckProgramme(r, take.DefaultProgramme(r)); err == nil || !strings.Contains(err.Error(), "not calibrated") {
		t.Errorf("a limit in volts that cannot be kept: %v", err)
	}
	r = calibrated(r)
	p := take.DefaultProgramme(r) // −20 dBFS of 2 V: 0.2 V
	if err := take.CheckProgramme(r, p); err == nil || !strings.Contains(err.Error(), fmt.Sprintf("%.2f V", 0.1)) {
		t.Errorf("0.2 V where 0.1 V is the limit: %v", err)
	}
	p.LevelDBFS = -26.1
	if err := take.CheckProgramme(r, p); err != nil {
		t.Errorf("0.099 V where 0.1 V is the limit: %v", err)
	}
}

func TestOldCalibrationsAreTold(t *testing.T) {
	sim, r := simulatedRig(t, simulated.Options{Subject: "wire"})
	r = calibrated(r)
	one := record(t, sim, r, take.DefaultProgramme(r))
	one.At = one.At.AddDate(2, 0, 0)
	a := analyse(t, one, take.DefaultSettings(), []float64{1000})
	for _, f := range a.Findings {
		if f.Code == "calibration-old" && f.Severity == take.Remark && f.Value > 700 {
			return
		}
	}
	t.Errorf("calibrations of two years ago: %v", a.Findings)
}

// Output and input on two devices, which share neither clock nor, in the second
// case, a sample rate: the response is that of one device.
func TestTwoDevices(t *testing.T) {
	for _, inputRate := range []float64{0, 44100} {
		sim, r := simulatedRig(t, simulated.Options{Subject: "two-way", Serial: "a", Seed: 2})
		f := logSpace(300, 16000, 450)
		set := take.Settings{Gate: take.Closing(0.0045), Smoothing: 24, Orders: 3}
		one := analyse(t, record(t, sim, r, take.DefaultProgramme(r)), set, f)
		r.InputDevice, r.InputRateHz = simulated.USBMicrophoneID, inputRate
		two := analyse(t, record(t, sim, r, take.DefaultProgramme(r)), set, f)
		if math.Abs(two.DriftPPM-sim.TrueDriftPPM(r.InputDevice)) > 0.05 {
			t.Errorf("drift of %.3f ppm found, is %.3f", two.DriftPPM, sim.TrueDriftPPM(r.InputDevice))
		}
		worst := 0.0
		for i := range f {
			worst = math.Max(worst, math.Abs(one.Response.MagnitudeDB[i]-two.Response.MagnitudeDB[i]))
		}
		t.Logf("input at %g Hz: %.3f ppm, response %.4f dB off", inputRate, two.DriftPPM, worst)
		if worst > 0.05 || two.Void() {
			t.Errorf("input at %g Hz: response %.3f dB off; %v", inputRate, worst, two.Findings)
		}
	}
}
