package decay

import (
	"math"

	"stillroom/dsp/fft"
	"stillroom/dsp/impulse"
)

// marginS is how much more of the response is looked at on either side, so that the ends
// of the stretch do not show: the quadrature of an edge fades with time only slowly.
const marginS = 0.05

// EnergyTime returns the energy–time curve from fromS to toS, and its times: the
// magnitude of the analytic signal, √(h² + ĥ²) with the Hilbert transform ĥ, in dB re
// its highest value there (R. C. Heyser, "Determination of loudspeaker signal arrival
// times", J. Audio Eng. Soc. 19, 1971, from memory). Silence, and a stretch that holds
// a NaN, give NaN.
//
// A response that begins with a step has a quadrature that fades as 1/t, far below what
// still rings; it is part of the definition.
func EnergyTime(h *impulse.Impulse, zeroS, fromS, toS float64) (timeS, levelDB []float64) {
	from, to := span(h, zeroS, fromS, toS)
	margin := min(int(marginS*h.RateHz), max(0, (len(h.Samples)-(to-from))/2))
	x := h.Cut(from-margin, to+margin)
	quadrature := hilbert(x)
	levelDB = make([]float64, to-from)
	top := math.Inf(-1)
	for i := range levelDB {
		re, im := x[margin+i], quadrature[margin+i]
		levelDB[i] = 10 * math.Log10(re*re+im*im)
		top = math.Max(top, levelDB[i])
	}
	for i := range levelDB {
		levelDB[i] -= top
	}
	return times(h, zeroS, from, to), levelDB
}

// hilbert is the discrete Hilbert transform of x with silence on either side: the
// convolution with 2/(πn), n odd (A. V. Oppenheim and R. W. Schafer, "Discrete-Time
// Signal Processing", section 12.4), so that nothing comes round.
func hilbert(x []float64) []float64 {
	n := fft.GoodLength(2 * len(x))
	plan := fft.NewReal(n)
	kernel := make([]float64, n)
	for i := 1; i < len(x); i += 2 {
		kernel[i], kernel[n-i] = 2/(math.Pi*float64(i)), -2/(math.Pi*float64(i))
	}
	bins, k := plan.Coefficients(nil, x), plan.Coefficients(nil, kernel)
	for i := range bins {
		bins[i] *= k[i]
	}
	return plan.Sequence(kernel, bins)[:len(x)]
}
