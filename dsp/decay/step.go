package decay

import (
	"math"

	"stillroom/dsp/impulse"
)

// Step returns the step response from fromS to toS, and its times: the running sum
// of the impulse response from fromS on, before which it is taken as silent.
//
// The samples of an impulse response are those of a digital system: its spectrum is
// Σ h[n] e^(−jωn), in the unit of the response U (Pa/V, or a plain ratio). So the step
// response s[n] = Σ h[i], i ≤ n, is in U, and ends at the response at 0 Hz. The impulse
// response of the continuous system is h[n]·fs, in U/s, and its integral the same sum:
// s(t) = ∫ h dt = Σ (h[n]·fs)·(1/fs).
//
// A response that was band-limited below settles to 0, as an acoustic one does. NaN
// samples make all later values NaN.
func Step(h *impulse.Impulse, zeroS, fromS, toS float64) (timeS, value []float64) {
	from, to := span(h, zeroS, fromS, toS)
	value = h.Cut(from, to)
	for i := 1; i < len(value); i++ {
		value[i] += value[i-1]
	}
	return times(h, zeroS, from, to), value
}

// span is the samples from fromS to toS, as lags.
func span(h *impulse.Impulse, zeroS, fromS, toS float64) (from, to int) {
	if !(toS >= fromS) {
		panic("decay: a stretch ends before it begins")
	}
	return int(math.Ceil((zeroS+fromS)*h.RateHz - 1e-6)), int(math.Floor((zeroS+toS)*h.RateHz+1e-6)) + 1
}

func times(h *impulse.Impulse, zeroS float64, from, to int) []float64 {
	out := make([]float64, max(0, to-from))
	for i := range out {
		out[i] = float64(from+i)/h.RateHz - zeroS
	}
	return out
}
