package simulated

import (
	"math"
	"math/cmplx"
)

// LatencyS is the time that the interface takes from its output to its input when
// the two are wired together. It is not a whole number of samples at any usual rate.
const LatencyS = 0.0123

// fullScalePa is the peak pressure at the microphone that drives the converter to
// full scale: 117 dB SPL.
const fullScalePa = 20.0

// loopbackGain is that of the wire from output 1 to input 2, through a pad.
const loopbackGain = 0.5

// converter is the band limit of one converter: flat to 0.455 of the sample rate,
// and a raised cosine down to nothing at half of it.
func converter(hz, rateHz float64) float64 {
	const flat = 0.455
	switch u := hz / rateHz; {
	case u <= flat:
		return 1
	case u >= 0.5:
		return 0
	default:
		return 0.5 + 0.5*math.Cos(math.Pi*(u-flat)/(0.5-flat))
	}
}

// microphone is that of a small measuring microphone and its preamplifier: coupled
// above 4 Hz, and with the damped resonance of its membrane at 24 kHz.
func microphone(hz float64) complex128 {
	low := complex(0, hz/4)
	high := complex(0, hz/24000)
	return low / (1 + low) / (1 + high/0.85 + high*high)
}

// late is the transfer of a delay.
func late(hz, seconds float64) complex128 { return cmplx.Rect(1, -2*math.Pi*hz*seconds) }

// quantise rounds to 24 bits, after the converter's own limits.
func quantise(x float64) float64 {
	const steps = 1 << 23
	return math.Max(-1, math.Min(1-1.0/steps, math.Round(x*steps)/steps))
}
