package calibrate

import (
	"errors"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"stillroom/app/audio/simulated"
	"stillroom/app/rig"
	"stillroom/dsp/level"
)

// simulatedBench is a bench on the simulated rig.
func simulatedBench(t *testing.T, o simulated.Options) Bench {
	t.Helper()
	device, err := simulated.New(o)
	if err != nil {
		t.Fatal(err)
	}
	return benchOn(device, rig.Rig{Name: "bench", Kind: simulated.Kind, OutputDevice: simulated.DeviceID, InputDevice: simulated.DeviceID,
		RateHz: 48000, LevelDBFS: -40, LimitDBFS: 0})
}

// The wire of the simulated rig halves and is flat: its response, taken out of a
// spectrum, does nothing to magnitude and phase, since 1 kHz counts as 0 dB.
func TestLoopbackOverAWire(t *testing.T) {
	for _, rate := range []float64{44100, 48000, 96000} {
		b := simulatedBench(t, simulated.Options{})
		b.Rig.RateHz = rate
		var trace Trace
		b.Progress = &trace
		got, err := b.Loopback(t.Context(), Loop{Channel: simulated.LoopbackIn})
		if err != nil {
			t.Fatal(err)
		}
		c := got.Response.Curve
		if n := len(c.FrequencyHz); n < 200 || n > 400 || !c.Covers(15) || !c.Covers(0.44*rate) {
			t.Errorf("%g Hz: %d points from %g to %g Hz", rate, n, c.FrequencyHz[0], c.FrequencyHz[n-1])
		}
		near(t, "at 1 kHz", c.LevelDB(1000), level.DB(0.5), 0.001)
		chain := got.Rig.Chain(simulated.LoopbackIn)
		for _, hz := range []float64{20, 100, 1000, 10000, 19000} {
			k := chain.Correct([]float64{hz})[0]
			near(t, "magnitude", level.DB(math.Hypot(real(k), imag(k))), 0, 0.002)
			near(t, "phase", math.Atan2(imag(k), real(k))*180/math.Pi, 0, 0.1)
		}
		if len(got.Rig.Chain(0).Correct([]float64{100})) != 1 || got.Rig.Chain(0).Interface != nil {
			t.Error("another input has it as well")
		}
		if len(trace.Moments()) == 0 {
			t.Error("nobody was told of the sweep")
		}
	}
}

// A loudspeaker in place of a wire, nothing on the input, and too loud a sweep.
func TestLoopbackRefusals(t *testing.T) {
	b := simulatedBench(t, simulated.Options{Subject: "woofer"})
	if got, err := b.Loopback(t.Context(), Loop{Channel: simulated.MicrophoneIn}); !errors.Is(err, ErrRefused) || got.Rig.Calibrations.Interfaces != nil {
		t.Errorf("a woofer: %v", err)
	}
	if _, err := b.Loopback(t.Context(), Loop{Channel: simulated.IdleIn}); !errors.Is(err, ErrRefused) {
		t.Errorf("an idle input: %v", err)
	}
	b.Rig.LimitDBFS = -20
	if _, err := b.Loopback(t.Context(), Loop{Channel: simulated.LoopbackIn, LevelDBFS: -12}); err == nil || errors.Is(err, ErrRefused) {
		t.Errorf("above the limit: %v", err)
	}
	if got, err := b.Loopback(t.Context(), Loop{Channel: simulated.LoopbackIn}); err != nil || got.Response.LevelDBFS != -20 {
		t.Errorf("at the limit: %v", err)
	}
}

// Noise of a known level with hum of a known level: white noise of −60 dBFS up to
// 24 kHz is 4.7 dB quieter through A, worked out apart by summing Annex E over all
// frequencies.
func TestNoise(t *testing.T) {
	source := calibrator{hz: 50, rms: 1e-5, noise: level.Ratio(-60) / math.Sqrt2 / 1e-5}
	b := benchOn(&room{hear: source.hear}, testRig())
	n, err := b.Noise(t.Context(), 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "level", n.LevelDBFS, -60, 0.05)
	if !math.IsNaN(n.LevelDBA) || !math.IsNaN(n.LevelDB) {
		t.Errorf("not calibrated, and yet %g dB(A)", n.LevelDBA)
	}
	b.Rig = b.Rig.WithInput(rig.InputLevel{Device: "in", PascalAtFS: 20, FrequencyHz: 1000})
	if n, err = b.Noise(t.Context(), 0, 4); err != nil {
		t.Fatal(err)
	}
	near(t, "dB", n.LevelDB, level.SPL(20)-60, 0.05)
	sum, count := 0.0, 0
	for hz := 0.5; hz < 24000; hz++ {
		sum += math.Pow(10, level.AWeightingDB(hz)/10)
		count++
	}
	near(t, "dB(A)", n.LevelDBA, level.SPL(20)-60+10*math.Log10(sum/float64(count)), 0.05)
}

func TestHumIsFoundAndRemarked(t *testing.T) {
	hum := calibrator{hz: 49.97, rms: 1e-3, third: 0.5, noise: 0.1}
	n, err := benchOn(&room{hear: hum.hear}, testRig()).Noise(t.Context(), 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mains", n.MainsHz, 49.97, 0.01)
	near(t, "hum", n.HumDBFS, level.DB(1e-3*math.Sqrt(1+0.25)*math.Sqrt2), 0.05)
	if !strings.Contains(n.Remark, "hum") {
		t.Errorf("%q", n.Remark)
	}
	silent := calibrator{}
	if n, err := benchOn(&room{hear: silent.hear}, testRig()).Noise(t.Context(), 0, 1); err != nil || !strings.Contains(n.Remark, "silent") {
		t.Errorf("%q %v", n.Remark, err)
	}
}

// The check rises from −40 dBFS by at most 6 dB, never above the limit, and says why
// it stopped.
func TestLevelCheck(t *testing.T) {
	for name, x := range map[string]struct {
		options simulated.Options
		limit   float64
		levels  Levels
		want    Stop
	}{
		"good":     {simulated.Options{Subject: "two-way"}, 0, Levels{}, StopGood},
		"limit":    {simulated.Options{Subject: "two-way", NoiseDBFS: -50}, -31, Levels{}, StopLimit},
		"headroom": {simulated.Options{Subject: "wire", NoiseDBFS: -60}, 0, Levels{}, StopHeadroom},
		"tweeter":  {simulated.Options{Subject: "tweeter", NoiseDBFS: -70}, -20, Levels{LowHz: 1500, StartDBFS: -46}, ""},
	} {
		b := simulatedBench(t, x.options)
		b.Rig.LimitDBFS = x.limit
		a, err := b.LevelCheck(t.Context(), x.levels)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		t.Logf("%s: %s %d steps", name, a.Text, len(a.Steps))
		if x.want != "" && a.Why != x.want {
			t.Errorf("%s: stopped for %s: %+v", name, a.Why, a.Steps)
		}
		for i, s := range a.Steps {
			if s.LevelDBFS > x.limit+1e-9 || i > 0 && s.LevelDBFS-a.Steps[i-1].LevelDBFS > riseDB+1e-9 {
				t.Errorf("%s: %+v", name, a.Steps)
			}
		}
		if a.Steps[0].LevelDBFS > startDBFS || a.LevelDBFS > x.limit || a.LevelDBFS > a.Steps[len(a.Steps)-1].LevelDBFS {
			t.Errorf("%s: recommends %g dBFS after %+v", name, a.LevelDBFS, a.Steps)
		}
		if a.Steps[len(a.Steps)-1].PeakDBFS > headroomDBFS+3 {
			t.Errorf("%s: the recording peaks at %g dBFS", name, a.Steps[len(a.Steps)-1].PeakDBFS)
		}
	}
}

// With the microphone silent the check gives up at −20 dBFS.
func TestLevelCheckGivesUpWhereNothingIsHeard(t *testing.T) {
	b := simulatedBench(t, simulated.Options{Faults: []string{"silent"}})
	a, err := b.LevelCheck(t.Context(), Levels{})
	if !errors.Is(err, ErrRefused) || a.Why != StopUnheard || !math.IsNaN(a.LevelDBFS) {
		t.Errorf("%+v %v", a, err)
	}
	for _, s := range a.Steps {
		if s.LevelDBFS > unheardTopDBFS+1e-9 {
			t.Errorf("%g dBFS was played to nobody", s.LevelDBFS)
		}
	}
}

// The SNR that the check tells is that of the real sweep at that level.
func TestLevelCheckTellsTheRightSNR(t *testing.T) {
	b := simulatedBench(t, simulated.Options{Subject: "two-way", NoiseDBFS: -70})
	b.Rig.LimitDBFS = -20
	a, err := b.LevelCheck(t.Context(), Levels{LowHz: 100, HighHz: 10000})
	if err != nil {
		t.Fatal(err)
	}
	one, err := b.try(t.Context(), Levels{LowHz: 100, HighHz: 10000}, a.LevelDBFS)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "signal to noise", one.SNRDB, a.SNRDB, 3)
}

// An interface with a shelf of its own, in place of a wire: what the rig then takes
// out is that shelf, as the cookbook's transfer function gives it, re 1 kHz.
func TestLoopbackTakesTheInterfaceOut(t *testing.T) {
	device, err := simulated.New(simulated.Options{Subject: "biquads", Before: []simulated.Biquad{
		{Kind: "highpass", FrequencyHz: 12, Q: 0.7}, {Kind: "highshelf", FrequencyHz: 9000, Q: 0.7, GainDB: -3}}})
	if err != nil {
		t.Fatal(err)
	}
	b := benchOn(device, rig.Rig{OutputDevice: simulated.DeviceID, InputDevice: simulated.DeviceID, RateHz: 48000, LimitDBFS: 0})
	got, err := b.Loopback(t.Context(), Loop{Channel: simulated.MicrophoneIn})
	if err != nil {
		t.Fatal(err)
	}
	f := []float64{15, 20, 31.5, 100, 1000, 3150, 8000, 12500, 20000}
	truth, err := device.TrueResponse(48000, append([]float64{1000}, f...))
	if err != nil {
		t.Fatal(err)
	}
	reference := cmplx.Abs(truth[0])
	// the slope of phase above 500 Hz counts as delay: the same is taken from the truth
	corrected := got.Rig.Chain(simulated.MicrophoneIn).Correct(f)
	var delays []float64
	for i, hz := range f {
		left := corrected[i] * truth[i+1] / complex(reference, 0)
		near(t, "magnitude", level.DB(cmplx.Abs(left)), 0, 0.02)
		if hz >= 1000 {
			delays = append(delays, cmplx.Phase(left)/hz)
		}
	}
	for i, hz := range f {
		left := corrected[i] * truth[i+1] * cmplx.Rect(1, -delays[len(delays)-1]*hz)
		near(t, "phase", cmplx.Phase(left)*180/math.Pi, 0, 0.5)
	}
}
