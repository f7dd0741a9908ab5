package tone

import (
	"math"
	"math/cmplx"

	"stillroom/dsp/fft"
)

// Line returns the complex amplitude of a sine at hz under a Hann window: its
// magnitude is the peak of the sine, its phase that of a cosine at the first sample.
// At 0 Hz it is twice the mean.
func Line(samples []float64, rateHz, hz float64) complex128 {
	w := newHann(len(samples))
	o := newOscillator(-hz / rateHz)
	re, im, weight := 0.0, 0.0, 0.0
	for _, v := range samples {
		g := w.next()
		z := o.next()
		re += g * v * real(z)
		im += g * v * imag(z)
		weight += g
	}
	return complex(2*re/weight, 2*im/weight)
}

// subtract takes a sine away, in place.
func subtract(x []float64, rateHz, hz float64, a complex128) {
	o := newOscillator(hz / rateHz)
	for n := range x {
		z := o.next()
		x[n] -= real(a)*real(z) - imag(a)*imag(z)
	}
}

// oscillator turns by the same angle with each call. It starts anew from the exact
// angle often enough that rounding stays below 1e-13.
type oscillator struct {
	cycles float64 // per sample
	n      int
	now    complex128
	step   complex128
}

const oscillatorRun = 256

func newOscillator(cycles float64) oscillator {
	return oscillator{cycles: cycles, step: cmplx.Rect(1, 2*math.Pi*cycles)}
}

func (o *oscillator) next() complex128 {
	if o.n%oscillatorRun == 0 {
		_, turn := math.Modf(o.cycles * float64(o.n))
		o.now = cmplx.Rect(1, 2*math.Pi*turn)
	}
	z := o.now
	o.now *= o.step
	o.n++
	return z
}

// hann is a Hann window, sample by sample.
type hann struct{ o oscillator }

func newHann(length int) hann { return hann{newOscillator(1 / float64(length))} }

func (h *hann) next() float64 { return 0.5 - 0.5*real(h.o.next()) }

// windowed returns the samples under a Hann window.
func windowed(samples []float64) []float64 {
	w := newHann(len(samples))
	out := make([]float64, len(samples))
	for n, v := range samples {
		out[n] = w.next() * v
	}
	return out
}

// strongest is the frequency of the largest bin between lowHz and highHz.
func strongest(x []float64, rateHz, lowHz, highHz float64) float64 {
	plan := fft.NewReal(fft.GoodLength(len(x)))
	best, at := -1.0, lowHz
	for k, v := range plan.Coefficients(nil, windowed(x)) {
		hz := float64(k) * rateHz / float64(plan.Len())
		if hz >= lowHz && hz <= highHz && cmplx.Abs(v) > best {
			best, at = cmplx.Abs(v), hz
		}
	}
	return at
}

// finest improves a frequency by the turn of phase between the first two thirds and
// the last two thirds, and then again with the better frequency.
func finest(x []float64, rateHz, hz float64) float64 {
	part := len(x) * 2 / 3
	hop := len(x) - part
	for range 3 {
		a, b := Line(x[:part], rateHz, hz), Line(x[hop:], rateHz, hz)
		// each counts time from its own start: take away what hz itself turns in between
		_, known := math.Modf(hz / rateHz * float64(hop))
		turn := cmplx.Phase(b / a * cmplx.Rect(1, -2*math.Pi*known))
		hz += turn / (2 * math.Pi) * rateHz / float64(hop)
	}
	return hz
}

// meanOf is the mean under a Hann window, which a tone of broken cycles does not
// move.
func meanOf(samples []float64) float64 { return real(Line(samples, 1, 0)) / 2 }

func rms(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(x)))
}

func peak(x []float64) float64 {
	p := 0.0
	for _, v := range x {
		p = math.Max(p, math.Abs(v))
	}
	return p
}
