package tone

import (
	"math"
	"testing"
)

// Mains at 49.93 Hz with odd and even multiples, 20 dB below a noise that is even in
// all the band: each line that was put in is found with its level.
func TestHumInNoise(t *testing.T) {
	for _, rate := range []float64{44100, 96000} {
		for _, mains := range []float64{49.93, 50.1, 59.98} {
			x := make([]float64, int(10*rate))
			lines := []float64{2e-4, 1e-4, 3e-4, 0, 5e-5}
			sum := 0.0
			for i, rms := range lines {
				sine(x, rate, mains*float64(i+1), rms, float64(i))
				sum += rms * rms
			}
			hiss(x, 1e-3, 5)
			got := FindHum(x, rate)
			if math.Abs(got.MainsHz-mains) > 0.01 {
				t.Errorf("mains of %.3f Hz found at %.3f Hz", mains, got.MainsHz)
			}
			if db := 20 * math.Log10(got.RMS/math.Sqrt(sum)); math.Abs(db) > 0.3 {
				t.Errorf("%.2f Hz at %g Hz: hum is off by %.2f dB", mains, rate, db)
			}
			for i, rms := range lines {
				if math.Abs(got.Lines[i]-rms) > 2e-5 {
					t.Errorf("%.2f Hz at %g Hz: line %d has %.2g, is %.2g", mains, rate, i+1, got.Lines[i], rms)
				}
			}
		}
	}
}

// In noise alone hum is found in fewer than one recording in a hundred.
func TestNoHumInNoise(t *testing.T) {
	found := 0
	const tries = 200
	for seed := range uint64(tries) {
		x := make([]float64, 12000)
		hiss(x, 1e-3, 100+seed)
		if got := FindHum(x, 12000); got.RMS > 0 {
			found++
		}
	}
	t.Logf("%d of %d", found, tries)
	if found > tries/100 {
		t.Errorf("hum was found in %d of %d recordings of noise", found, tries)
	}
}

// Half a second is enough for hum that is as loud as the noise.
func TestHumInHalfASecond(t *testing.T) {
	x := make([]float64, 24000)
	sine(x, 48000, 50.05, 1e-3, 1)
	hiss(x, 1e-3, 9)
	got := FindHum(x, 48000)
	if math.Abs(got.MainsHz-50) > 0.25 || math.Abs(20*math.Log10(got.RMS/1e-3)) > 0.5 {
		t.Errorf("%+v", got)
	}
}
