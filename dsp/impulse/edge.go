package impulse

import (
	"math"
	"math/cmplx"
)

// Edge is the causal low edge that every impulse response gets: a fourth-order
// Butterworth high-pass. A zero-phase band limit would ring to the left of the
// arrival, where a short opening taper then costs tenths of a dB at 20 Hz; this
// one rings to the right only, and is divided out again after the gate.
type Edge struct {
	CornerHz float64 // −3 dB point; 0: no edge
}

// At returns the response of the edge at f Hz (Butterworth polynomial of order 4,
// A. B. Williams, "Electronic Filter Design Handbook", table of normalised
// quadratic factors: s²+0.7654s+1 and s²+1.8478s+1).
func (e Edge) At(f float64) complex128 {
	if e.CornerHz == 0 {
		return 1
	}
	if f <= 0 {
		return 0
	}
	x := f / e.CornerHz
	re, im := e.denominator(x)
	k := x * x * x * x / (re*re + im*im)
	return complex(k*re, -k*im)
}

// denominator is (s²+q₁s+1)(s²+q₂s+1) at s = jx; the numerator s⁴ is x⁴.
func (e Edge) denominator(x float64) (re, im float64) {
	const q1, q2 = 0.76536686473017954346, 1.84775906502257351226 // 2 sin(π/8), 2 sin(3π/8)
	a := 1 - x*x
	return a*a - q1*q2*x*x, (q1 + q2) * a * x
}

// Undo divides the edge out of a spectrum given at frequencies f, in place. Below
// a third of the corner nothing was measured, and the value becomes NaN.
func (e Edge) Undo(f []float64, spectrum []complex128) {
	if e.CornerHz == 0 {
		return
	}
	for i, fi := range f {
		if fi < e.CornerHz/3 {
			spectrum[i] = cmplx.NaN()
			continue
		}
		x := fi / e.CornerHz
		re, im := e.denominator(x)
		k := 1 / (x * x * x * x)
		spectrum[i] *= complex(k*re, k*im)
	}
}

// UndoPower is Undo for |H|².
func (e Edge) UndoPower(f, power []float64) {
	if e.CornerHz == 0 {
		return
	}
	for i, fi := range f {
		if fi < e.CornerHz/3 {
			power[i] = math.NaN()
			continue
		}
		x := fi / e.CornerHz
		re, im := e.denominator(x)
		x4 := x * x * x * x
		power[i] *= (re*re + im*im) / (x4 * x4)
	}
}
