package combine

import (
	"math"
	"math/cmplx"
)

// Driver is one member of a sum: what it does, and what is done to it.
type Driver struct {
	Response []complex128
	GainDB   float64
	DelayS   float64 // above 0: later
	Inverted bool
}

// Sum is what drivers give together at one place: Σ ±g H e^{−j2πfτ}. The responses must
// share one time zero, as those of one microphone place under loopback timing do; the
// arrival of each as its own zero would leave out what decides about the sum.
func Sum(frequencyHz []float64, drivers []Driver) []complex128 {
	out := make([]complex128, len(frequencyHz))
	for _, d := range drivers {
		sameLength(len(frequencyHz), len(d.Response))
		gain := math.Pow(10, d.GainDB/20)
		if d.Inverted {
			gain = -gain
		}
		for i, f := range frequencyHz {
			out[i] += d.Response[i] * cmplx.Rect(gain, -2*math.Pi*f*d.DelayS)
		}
	}
	return out
}
