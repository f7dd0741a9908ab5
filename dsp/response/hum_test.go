package response

import (
	"math"
	"math/rand"
	"testing"
)

// A mains hum over two silences, four seconds apart: its base is found closely
// enough to be taken out of all that lies between.
func TestHumIsFoundAndTakenOut(t *testing.T) {
	const rate = 48000
	for _, base := range []float64{49.93, 50, 60.11} {
		rng := rand.New(rand.NewSource(1))
		x, noise := make([]float64, 5*rate), make([]float64, 5*rate)
		for n := range x {
			noise[n] = 1e-4 * rng.NormFloat64()
			at := float64(n) / rate
			x[n] = noise[n] + 0.002*math.Sin(2*math.Pi*base*at+1) + 0.004*math.Sin(2*math.Pi*3*base*at) + 0.001*math.Cos(2*math.Pi*7*base*at)
		}
		h, ok := FindHum(x, rate, []Stretch{{8000, 28000}, {200000, 235000}})
		if !ok || math.Abs(h.BaseHz-base) > 0.002 || math.Abs(h.Worst-3*base) > 0.01 {
			t.Fatalf("base %.4f Hz, strongest %.2f Hz; is %g Hz, %g Hz", h.BaseHz, h.Worst, base, 3*base)
		}
		want := math.Sqrt((0.002*0.002 + 0.004*0.004 + 0.001*0.001) / 2)
		if db := 20 * math.Log10(h.RMS/want); math.Abs(db) > 0.1 {
			t.Errorf("hum level off by %.2f dB", db)
		}
		h.Subtract(x, rate)
		left := 0.0
		for n := range x {
			left += (x[n] - noise[n]) * (x[n] - noise[n])
		}
		if db := 20 * math.Log10(math.Sqrt(left/float64(len(x)))/want); db > -40 {
			t.Errorf("base %g Hz: %.0f dB of the hum is left", base, db)
		}
	}
}

func TestNoHumInNoise(t *testing.T) {
	worst := 0.0
	for seed := range 100 {
		rng := rand.New(rand.NewSource(int64(seed)))
		x := make([]float64, 40000)
		for n := range x {
			x[n] = rng.NormFloat64()
		}
		h, _ := FindHum(x, 48000, []Stretch{{0, 20000}, {25000, 40000}})
		worst = math.Max(worst, h.ClearDB)
	}
	t.Logf("largest line in noise alone stands out by %.1f dB", worst)
	if worst > 20 {
		t.Errorf("noise alone shows a line %.1f dB clear", worst)
	}
}
