package combine

import (
	"math"
	"math/cmplx"
)

// DifferenceDB is a − b point by point, in dB. It is NaN where either is not finite: a
// level of nothing has no difference to anything.
func DifferenceDB(aDB, bDB []float64) []float64 {
	sameLength(len(aDB), len(bDB))
	out := make([]float64, len(aDB))
	for i := range out {
		if out[i] = aDB[i] - bDB[i]; math.IsInf(out[i], 0) {
			out[i] = math.NaN()
		}
	}
	return out
}

// Ratio is the complex ratio of two responses. Nothing is regularised, which would
// bend the result unseen: where the power of the denominator is less than clearDB over
// the noise power given for the same points (|H|² that noise alone shows), the ratio
// is NaN. With nil for the noise it is NaN only where the denominator is 0. At a
// clearance of 20 dB noise moves the ratio by 0.6 dB rms (8.686/√2 dB times the ratio
// of amplitudes).
func Ratio(numerator, denominator []complex128, noisePower []float64, clearDB float64) []complex128 {
	sameLength(len(numerator), len(denominator))
	if noisePower != nil {
		sameLength(len(numerator), len(noisePower))
	}
	out := make([]complex128, len(numerator))
	for i, d := range denominator {
		least := math.SmallestNonzeroFloat64
		if noisePower != nil {
			least = math.Max(least, noisePower[i]*math.Pow(10, clearDB/10))
		}
		if out[i] = numerator[i] / d; !(norm(d) >= least) {
			out[i] = cmplx.NaN()
		}
	}
	return out
}
