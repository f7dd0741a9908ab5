package combine

import (
	"math"
	"math/cmplx"
)

// SphereStep is the baffle step of a cabinet of some width: the far pressure on the
// axis of a small source on a rigid sphere of that diameter, re the same source in
// free space. It rises from 0 dB (full space) to 6.02 dB (half space), but for ripples
// under 0.1 dB. With x = kb, b half the width, h_n the spherical Hankel function of the
// second kind:
//
//	S = e^{−jx}/(jx²) · Σ (2n+1) jⁿ / h_n′(x)
//
// (exact; radiation from a point source on a sphere, e.g. L. L. Beranek and T. J.
// Mellow, "Acoustics: Sound Fields, Transducers and Vibration", 2nd ed., section
// 12.5). The phase is re a source at the same place and is that of the step alone.
//
// How far to trust it: the two ends are right for any cabinet. In between the rise is
// half done at 108 Hz·m over the width, where the trade's 115 Hz·m (common practice)
// says the same to 0.2 dB. The edges of a box add ripples that a sphere has not (H. F.
// Olson, "Direct radiator loudspeaker enclosures", J. Audio Eng. Soc. 17(1), 1969): up
// to about x = 1 the sphere stands for a box within about 1 dB, and above x = 2 (at
// 220 Hz·m over the width) the far field must be measured (common practice; not
// checked here against a box).
//
// It panics unless width and speed of sound are above 0; what is no frequency gives NaN.
func SphereStep(frequencyHz []float64, widthM, speedMS float64) []complex128 {
	if !(widthM > 0 && speedMS > 0) {
		panic("combine: a width and a speed of sound must be above 0")
	}
	out := make([]complex128, len(frequencyHz))
	for i, f := range frequencyHz {
		out[i] = sphereStep(math.Pi * f * widthM / speedMS)
	}
	return out
}

func sphereStep(x float64) complex128 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return cmplx.NaN()
	}
	if x < 1e-6 {
		return 1
	}
	inverse := complex(1/x, 0)
	before := cmplx.Rect(1/x, -x)     // h₋₁
	h := cmplx.Rect(1/x, math.Pi/2-x) // h₀
	sum, turn := complex(0, 0), complex(1, 0)
	for n := 0; ; n++ {
		slope := before - complex(float64(n+1), 0)*inverse*h
		term := complex(float64(2*n+1), 0) * turn / slope
		sum += term
		if float64(n) > x && cmplx.Abs(term) < 1e-16*cmplx.Abs(sum) {
			return sum * cmplx.Rect(1/(x*x), -x-math.Pi/2)
		}
		before, h = h, complex(float64(2*n+1), 0)*inverse*h-before
		turn *= 1i
	}
}
