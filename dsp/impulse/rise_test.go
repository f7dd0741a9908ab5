package impulse_test

import (
	"math"
	"testing"

	"stillroom/dsp/impulse"
)

// With two degrees of freedom chi squared is the exponential distribution, whose
// quantiles are known in closed form; with one it is the square of a normal variable,
// beyond 3.2905 times its deviation in 0.1 % (handbook table of the normal distribution)
// and beyond 0.67449 times in one half.
func TestNoiseRise(t *testing.T) {
	two := 10 * math.Log10(math.Log(1e6)/math.Ln2)
	if got := impulse.NoiseRiseDB(500, 0.002, 1e-6); math.Abs(got-two) > 1e-6 {
		t.Errorf("two degrees: %.6f dB, want %.6f", got, two)
	}
	one := 20 * math.Log10(3.290527/0.674490)
	for _, bandwidthHz := range []float64{0, 250} {
		if got := impulse.NoiseRiseDB(bandwidthHz, 0.002, 1e-3); math.Abs(got-one) > 1e-4 {
			t.Errorf("one degree: %.6f dB, want %.6f", got, one)
		}
	}
}
