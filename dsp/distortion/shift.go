package distortion

import (
	"math"
	"sort"
)

// AtHarmonic brings a curve of an order from the excitation frequency, where it is
// measured, to the frequency of the harmonic itself: the result at f is the curve at
// f/order. Frequencies rise, in Hz; between points the curve is straight over log
// frequency. NaN outside the curve and beside a point that is NaN. It panics where the
// lengths differ or the order is below 1.
func AtHarmonic(frequencyHz, levelDB []float64, order int) []float64 {
	return shifted(frequencyHz, levelDB, order, 1/float64(order))
}

// AtExcitation is the way back: the result at f is the curve at order·f.
func AtExcitation(frequencyHz, levelDB []float64, order int) []float64 {
	return shifted(frequencyHz, levelDB, order, float64(order))
}

func shifted(frequencyHz, levelDB []float64, order int, ratio float64) []float64 {
	sameLength(len(frequencyHz), len(levelDB))
	if order < 1 {
		panic("distortion: no such order")
	}
	out := make([]float64, len(levelDB))
	for i, f := range frequencyHz {
		out[i] = between(frequencyHz, levelDB, f*ratio)
	}
	return out
}

// onPoint is how near to a point, as a ratio less 1, a frequency counts as the point.
const onPoint = 1e-9

// between reads a curve at hz.
func between(f, level []float64, hz float64) float64 {
	i := sort.SearchFloat64s(f, hz*(1-onPoint))
	switch {
	case i == len(f):
		return math.NaN()
	case f[i] <= hz*(1+onPoint):
		return level[i]
	case i == 0:
		return math.NaN()
	}
	a, b := level[i-1], level[i]
	u := math.Log(hz/f[i-1]) / math.Log(f[i]/f[i-1])
	return a*(1-u) + b*u
}
