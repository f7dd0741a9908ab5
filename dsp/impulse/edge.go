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
	s := complex(0, f/e.CornerHz)
	q1 := 2 * math.Sin(math.Pi/8)
	q2 := 2 * math.Sin(3*math.Pi/8)
	s2 := s * s
	return s2 / (s2 + complex(q1, 0)*s + 1) * s2 / (s2 + complex(q2, 0)*s + 1)
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
		spectrum[i] /= e.At(fi)
	}
}

// UndoPower is Undo for |H|².
func (e Edge) UndoPower(f, power []float64) {
	if e.CornerHz == 0 {
		return
	}
	for i, fi := range f {
		a := cmplx.Abs(e.At(fi))
		if fi < e.CornerHz/3 {
			a = math.NaN()
		}
		power[i] /= a * a
	}
}
