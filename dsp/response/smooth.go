package response

import (
	"math"
	"sort"

	"stillroom/dsp/impulse"
)

// Smooth averages the power of a curve over a width around each of its own
// frequencies (rising, in Hz), with equal weight for equal width in Hz: the mean that
// impulse.Piece.PowerOver takes of a spectrum, for curves of which no impulse response
// is kept, such as averages and imported ones. Between the points the power is taken as
// straight.
//
// Each run of numbers is a band of its own: towards its ends the window shrinks on
// both sides alike, so that nothing is invented, a flat curve stays as it is and a
// slope is not bent. NaN stays NaN. It panics where the lengths differ.
func Smooth(frequencyHz, power []float64, w impulse.Width) []float64 {
	sameLength(len(frequencyHz), len(power))
	out := make([]float64, len(power))
	copy(out, power)
	if w.None() {
		return out
	}
	for from := 0; from < len(power); {
		if math.IsNaN(power[from]) {
			from++
			continue
		}
		to := from
		for to < len(power) && !math.IsNaN(power[to]) {
			to++
		}
		smoothRun(out[from:to], frequencyHz[from:to], power[from:to], w)
		from = to
	}
	return out
}

func smoothRun(out, f, power []float64, w impulse.Width) {
	sum := make([]float64, len(power))
	for i := 1; i < len(power); i++ {
		sum[i] = sum[i-1] + (power[i]+power[i-1])/2*(f[i]-f[i-1])
	}
	upTo := func(hz float64) float64 {
		i := min(max(sort.SearchFloat64s(f, hz), 1), len(f)-1)
		u := hz - f[i-1]
		slope := (power[i] - power[i-1]) / (f[i] - f[i-1])
		return sum[i-1] + u*(power[i-1]+slope*u/2)
	}
	for i, hz := range f {
		lo, hi := w.Around(hz, f[0], f[len(f)-1])
		if hi-lo > 1e-9*hz {
			out[i] = (upTo(hi) - upTo(lo)) / (hi - lo)
		}
	}
}

func sameLength(a, b int) {
	if a != b {
		panic("response: curves of different lengths")
	}
}
