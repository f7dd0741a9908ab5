package simulated

import (
	"math"
	"math/rand/v2"
)

// Noise of the inputs, as rms re a full-scale peak of 1 (dB).
const (
	usualNoiseDB    = -85  // of a microphone in a quiet room; most of it is the room
	loopbackNoiseDB = -112 // of a converter
	idleNoiseDB     = -104 // of a preamplifier with nothing on it
)

// hiss makes noise of a given level, part of it with equal power in each octave and
// part white. Its samples follow from its seed alone, however they are asked for.
type hiss struct {
	rng         *rand.Rand
	white, pink float64
	poles       []pinkPart
}

// pinkPart is one pole and zero of a chain that falls by 10 dB a decade.
type pinkPart struct{ pole, zero, in, out float64 }

// newHiss returns noise of rms level, of which the share pinkShare (of power) is pink.
func newHiss(rms, pinkShare, rateHz float64, rng *rand.Rand) *hiss {
	h := &hiss{rng: rng, white: rms * math.Sqrt(1-pinkShare)}
	for hz := 8.0; hz < rateHz/4; hz *= 4 {
		h.poles = append(h.poles, pinkPart{
			pole: math.Exp(-2 * math.Pi * hz / rateHz),
			zero: math.Exp(-2 * math.Pi * 2 * hz / rateHz),
		})
	}
	h.pink = rms * math.Sqrt(pinkShare) / h.chainRMS(rateHz)
	return h
}

// chainRMS is the gain of the chain for the rms of white noise, by summing its
// power over a logarithmic grid and the rest below it.
func (h *hiss) chainRMS(rateHz float64) float64 {
	const step = 1.02
	var sum float64
	low := 0.0
	for hz := 0.5; low < rateHz/2; hz *= step {
		high := math.Min(hz, rateHz/2)
		sum += h.power((low+high)/2/rateHz) * (high - low)
		low = high
	}
	return math.Sqrt(sum / (rateHz / 2))
}

func (h *hiss) power(perSample float64) float64 {
	c := 2 * math.Cos(2*math.Pi*perSample)
	p := 1.0
	for _, s := range h.poles {
		p *= (1 + s.zero*s.zero - s.zero*c) / (1 + s.pole*s.pole - s.pole*c)
	}
	return p
}

// add adds noise to x.
func (h *hiss) add(x []float64) {
	for n := range x {
		x[n] += h.white*h.rng.NormFloat64() + h.pink*h.next()
	}
}

func (h *hiss) next() float64 {
	if h.pink == 0 {
		return 0
	}
	v := h.rng.NormFloat64()
	for i := range h.poles {
		s := &h.poles[i]
		out := v - s.zero*s.in + s.pole*s.out
		s.in, s.out = v, out
		v = out
	}
	return v
}
