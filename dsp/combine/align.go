package combine

import (
	"math"
	"math/cmplx"
)

// Alignment is how one response lies against a reference.
type Alignment struct {
	DelayS   float64 // how much later it is; NaN where nothing was found
	Inverted bool
	// Likeness is the normalised correlation at that delay, 0 to 1, each octave of the
	// band having the same weight. Below about 0.8 the two differ in more than delay and
	// polarity.
	Likeness float64
	// Rival is the likeness of the best fit with the other polarity. A flat octave has
	// 0.82 there, a third of an octave 0.98: where it comes close to Likeness the
	// polarity is not certain.
	Rival float64
}

// longestDelayS is how far a delay is looked for in either direction: 6.9 m of air.
const longestDelayS = 0.02

// Align finds the delay and the polarity of h against a reference: those at which the
// cross-correlation over fromHz to toHz, with equal weight for equal ratios of
// frequency, is largest in magnitude,
//
//	R(τ) = ∫ Re[H(f) X*(f) e^{+j2πfτ}] d ln f,
//
// within ±20 ms; its sign is the polarity. The peak of the scan is refined by Newton's
// method to far below a degree. Points that are NaN in either are passed over. Where
// the band holds nothing, the delay is NaN and the likeness 0.
func Align(frequencyHz []float64, h, reference []complex128, fromHz, toHz float64) Alignment {
	sameLength(len(frequencyHz), len(h), len(reference))
	c := crossSpectrum(frequencyHz, h, reference, fromHz, toHz)
	if c.scale == 0 {
		return Alignment{DelayS: math.NaN()}
	}
	upright, inverted := c.scan()
	out := c.fit(c.refine(upright))
	other := c.fit(c.refine(inverted))
	if other.Likeness > out.Likeness {
		out, other = other, out
	}
	if other.Inverted != out.Inverted {
		out.Rival = other.Likeness
	}
	return out
}

// fit is the alignment at a delay.
func (x cross) fit(delay float64) Alignment {
	value, _, _ := x.at(delay)
	return Alignment{DelayS: delay, Inverted: value < 0, Likeness: math.Min(1, math.Abs(value)/x.scale)}
}

// Undo takes the delay and the inversion out of a response.
func (a Alignment) Undo(frequencyHz []float64, h []complex128) []complex128 {
	return Sum(frequencyHz, []Driver{{Response: h, DelayS: -a.DelayS, Inverted: a.Inverted}})
}

// cross is a weighted cross spectrum over the points that count.
type cross struct {
	omega []float64
	c     []complex128
	scale float64 // √(ΣW|H|² · ΣW|X|²)
}

func crossSpectrum(frequencyHz []float64, h, reference []complex128, fromHz, toHz float64) cross {
	var out cross
	var power, wanted float64
	for i, w := range cells(frequencyHz, fromHz, toHz) {
		c := h[i] * cmplx.Conj(reference[i]) * complex(w, 0)
		if w == 0 || cmplx.IsNaN(c) || cmplx.IsInf(c) {
			continue
		}
		out.omega, out.c = append(out.omega, 2*math.Pi*frequencyHz[i]), append(out.c, c)
		power += w * norm(h[i])
		wanted += w * norm(reference[i])
	}
	out.scale = math.Sqrt(power * wanted)
	return out
}

// at returns R and its first two derivatives.
func (x cross) at(delay float64) (value, slope, bend float64) {
	for i, w := range x.omega {
		sin, cos := math.Sincos(w * delay)
		re := real(x.c[i])*cos - imag(x.c[i])*sin
		im := real(x.c[i])*sin + imag(x.c[i])*cos
		value += re
		slope -= w * im
		bend -= w * w * re
	}
	return value, slope, bend
}

// step is an eighth of a period of the highest frequency.
func (x cross) step() float64 { return 2 * math.Pi / x.omega[len(x.omega)-1] / 8 }

// scan returns the delays of the largest and of the smallest R on a raster.
func (x cross) scan() (largest, smallest float64) {
	steps := int(math.Ceil(longestDelayS / x.step()))
	turn, by := make([]complex128, len(x.c)), make([]complex128, len(x.c))
	for i, w := range x.omega {
		turn[i] = x.c[i] * cmplx.Rect(1, -w*float64(steps)*x.step())
		by[i] = cmplx.Rect(1, w*x.step())
	}
	high, low := math.Inf(-1), math.Inf(1)
	for k := -steps; k <= steps; k++ {
		sum := 0.0
		for i := range turn {
			sum += real(turn[i])
			turn[i] *= by[i]
		}
		if sum > high {
			high, largest = sum, float64(k)*x.step()
		}
		if sum < low {
			low, smallest = sum, float64(k)*x.step()
		}
	}
	return largest, smallest
}

// refine goes to the top of the peak next to a delay.
func (x cross) refine(delay float64) float64 {
	best := delay
	for range 20 {
		_, slope, bend := x.at(best)
		next := best - slope/bend
		if !(math.Abs(next-delay) <= x.step()) {
			break // no peak there
		}
		if math.Abs(next-best) < 1e-15 {
			return next
		}
		best = next
	}
	return best
}

func norm(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }
