package response

import (
	"math"
	"math/cmplx"
)

// MinusDelay returns the response as it is without a delay of delayS seconds: its
// phase rises by 360°·f·delayS.
func MinusDelay(frequencyHz []float64, h []complex128, delayS float64) []complex128 {
	sameLength(len(frequencyHz), len(h))
	out := make([]complex128, len(h))
	for i, v := range h {
		out[i] = v * cmplx.Rect(1, turn(frequencyHz[i]*delayS))
	}
	return out
}

// turn is 2π of a number of periods, whose whole part is left out.
func turn(periods float64) float64 { return 2 * math.Pi * (periods - math.Round(periods)) }

// Excess returns the all-pass part of a response, of magnitude 1: what its phase has
// beyond the minimum phase, given in degrees. Its phase is the excess phase, its group
// delay the excess group delay (WrappedDeg, UnwrapDeg and GroupDelayS read them).
// NaN, and a response of 0, give NaN.
func Excess(h []complex128, minimumDeg []float64) []complex128 {
	sameLength(len(h), len(minimumDeg))
	out := make([]complex128, len(h))
	for i, v := range h {
		out[i] = v / complex(cmplx.Abs(v), 0) * cmplx.Rect(1, -minimumDeg[i]*math.Pi/180)
		if cmplx.IsNaN(out[i]) || cmplx.IsInf(out[i]) {
			out[i] = cmplx.NaN()
		}
	}
	return out
}

// Turning returns the response of magnitude 1 with a phase in degrees, such as a minimum
// phase, for GroupDelayS to read. NaN stays NaN.
func Turning(phaseDeg []float64) []complex128 {
	out := make([]complex128, len(phaseDeg))
	for i, p := range phaseDeg {
		out[i] = cmplx.Rect(1, p*math.Pi/180)
	}
	return out
}

// WrapDeg brings phases in degrees into (−180, 180]. NaN stays NaN.
func WrapDeg(deg []float64) []float64 {
	out := make([]float64, len(deg))
	for i, p := range deg {
		out[i] = p - 360*math.Ceil((p-180)/360)
	}
	return out
}
