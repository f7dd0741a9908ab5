package tone

import (
	"math"
	"math/rand/v2"
	"testing"
)

// rates that interfaces have.
func rates() []float64 { return []float64{44100, 48000, 88200, 96000, 176400, 192000} }

// sine adds a sine of so much RMS.
func sine(x []float64, rateHz, hz, rms, phase float64) {
	for n := range x {
		x[n] += math.Sqrt2 * rms * math.Sin(2*math.Pi*hz*float64(n)/rateHz+phase)
	}
}

// hiss adds white noise of so much RMS.
func hiss(x []float64, rms float64, seed uint64) {
	rng := rand.New(rand.NewPCG(seed, 17))
	for n := range x {
		x[n] += rms * rng.NormFloat64()
	}
}

func analyse(t *testing.T, x []float64, rateHz float64) Tone {
	t.Helper()
	tone, err := Analyse(x, rateHz, 20, 0.45*rateHz)
	if err != nil {
		t.Fatal(err)
	}
	return tone
}

// A tone with harmonics of −40 dB and noise of −40 dB, on a mean: the figures that
// went in come out.
func TestToneWithHarmonicsAndNoise(t *testing.T) {
	worstHz, worstDB, seed := 0.0, 0.0, uint64(1)
	for _, rate := range rates() {
		for _, hz := range []float64{99.7, 250.3, 997, 1000, 1019.4} {
			x := make([]float64, int(3*rate))
			for n := range x {
				x[n] = 0.003
			}
			sine(x, rate, hz, 0.1, 0.4)
			sine(x, rate, 2*hz, 0.001, 1.1)
			sine(x, rate, 3*hz, 0.001, -2)
			hiss(x, 0.001, seed)
			seed++
			got := analyse(t, x, rate)
			worstHz = math.Max(worstHz, math.Abs(got.FrequencyHz-hz))
			worstDB = math.Max(worstDB, math.Abs(20*math.Log10(got.RMS/0.1)))
			if thd := 20*math.Log10(got.THD()) - 20*math.Log10(0.01*math.Sqrt2); math.Abs(thd) > 0.1 {
				t.Errorf("%g Hz at %g Hz: distortion is off by %.3f dB", hz, rate, thd)
			}
			if noise := got.SNRDB(); math.Abs(noise-40) > 0.1 {
				t.Errorf("%g Hz at %g Hz: signal to noise of %.3f dB, is 40 dB", hz, rate, noise)
			}
			if got.SpreadDB() > 0.01 || got.RangeDB() > 0.03 || math.Abs(got.DC-0.003) > 1e-5 {
				t.Errorf("%g Hz at %g Hz: spread %.4f dB, range %.4f dB, mean %.5f", hz, rate, got.SpreadDB(), got.RangeDB(), got.DC)
			}
		}
	}
	t.Logf("worst: %.2g Hz, %.2g dB", worstHz, worstDB)
	if worstHz > 0.01 || worstDB > 0.001 {
		t.Errorf("worst deviation %.4f Hz and %.5f dB, allowed are 0.01 Hz and 0.001 dB", worstHz, worstDB)
	}
}

// Without noise what is left is the arithmetic and the window's skirts.
func TestCleanToneIsExact(t *testing.T) {
	for _, rate := range rates() {
		for _, hz := range []float64{31.5, 250, 1000, 12345.678} {
			x := make([]float64, int(1*rate))
			sine(x, rate, hz, 0.5, -1)
			got := analyse(t, x, rate)
			if math.Abs(got.FrequencyHz-hz) > 1e-4 || math.Abs(20*math.Log10(got.RMS/0.5)) > 1e-4 {
				t.Errorf("%g Hz at %g Hz: %.6f Hz, %.6f dB", hz, rate, got.FrequencyHz, 20*math.Log10(got.RMS/0.5))
			}
			if got.SNRDB() < 80 || got.RangeDB() > 0.001 {
				t.Errorf("%g Hz at %g Hz: %.1f dB over the rest, range %.5f dB", hz, rate, got.SNRDB(), got.RangeDB())
			}
		}
	}
}

// A level that rises by 1 dB from start to end is seen as such: the range of the
// blocks is 1 dB less one block, the spread that of an even rise, 1/√12 dB.
func TestUnsteadyTone(t *testing.T) {
	const rate, seconds = 48000.0, 5
	x := make([]float64, seconds*48000)
	sine(x, rate, 1000, 0.1, 0)
	for n := range x {
		x[n] *= math.Pow(10, float64(n)/float64(len(x))/20)
	}
	got := analyse(t, x, rate)
	if math.Abs(got.RangeDB()-0.98) > 0.005 || math.Abs(got.SpreadDB()-1/math.Sqrt(12)) > 0.01 {
		t.Errorf("range %.4f dB, spread %.4f dB", got.RangeDB(), got.SpreadDB())
	}
	if math.Abs(got.BlockS-0.1) > 1e-9 || len(got.LevelDB) != 50 {
		t.Errorf("%d blocks of %g s", len(got.LevelDB), got.BlockS)
	}
}

func TestWhatIsNoToneIsAnError(t *testing.T) {
	for name, x := range map[string][]float64{
		"nothing": nil, "silence": make([]float64, 48000), "a mean": {0: 1, 999: 1}, "too short": make([]float64, 80),
	} {
		if name == "a mean" {
			for i := range x {
				x[i] = 0.5
			}
		}
		if got, err := Analyse(x, 48000, 100, 2000); err == nil {
			t.Errorf("%s is a tone: %+v", name, got)
		}
	}
	x := make([]float64, 4800) // ten cycles
	sine(x, 48000, 100, 0.1, 0)
	if _, err := Analyse(x, 48000, 50, 2000); err == nil {
		t.Error("ten cycles are enough")
	}
	defer func() {
		if recover() == nil {
			t.Error("a band above half the sample rate is taken")
		}
	}()
	_, _ = Analyse(x, 48000, 50, 30000)
}
