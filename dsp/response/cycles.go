package response

import (
	"fmt"
	"math"
	"runtime"
	"sync"

	"stillroom/dsp/impulse"
)

// CycleGate is a gate of a number of cycles at each frequency: it closes Cycles/f after
// time zero, so that each frequency is read with the same number of its own periods
// (a resolution of the same ratio everywhere). It closes no sooner than ShortestS and
// no later than LongestS, where it is the fixed gate of that length.
type CycleGate struct {
	Cycles     float64 // 1 or more: fewer do not resolve the frequency itself
	OpenS      float64 // as in impulse.Gate, at all frequencies alike
	OpenTaperS float64
	CloseShare float64 // of the closing time that the closing taper takes, 0 to 1
	ShortestS  float64 // 0 or more
	LongestS   float64 // above 0: what was recorded, or a reflection
}

// At returns the gate at f Hz. It panics where the gate cannot be.
func (g CycleGate) At(f float64) impulse.Gate {
	g.check()
	return g.of(g.closeS(f))
}

func (g CycleGate) closeS(f float64) float64 {
	return math.Min(math.Max(g.Cycles/f, g.ShortestS), g.LongestS)
}

func (g CycleGate) of(closeS float64) impulse.Gate {
	return impulse.Gate{OpenS: g.OpenS, OpenTaperS: g.OpenTaperS, CloseS: closeS, CloseTaperS: g.CloseShare * closeS}
}

func (g CycleGate) check() {
	if !(g.Cycles >= 1) || !(g.LongestS > 0) || g.ShortestS < 0 || g.ShortestS > g.LongestS ||
		g.CloseShare < 0 || g.CloseShare > 1 || g.OpenS > 0 {
		panic(fmt.Sprintf("response: no such gate: %+v", g))
	}
}

// ValidFromHz is the lowest frequency that the gate resolves: below it LongestS is
// shorter than a period (1/T), as with a fixed gate.
func (g CycleGate) ValidFromHz() float64 { return 1 / g.LongestS }

// Spectrum returns the complex response of h at frequencies in Hz, each through its
// own gate: h.Gated(zeroS, g.At(f)).Spectrum at f, to 1e-10 of Σ|h| in the gate. The
// low edge is divided out. A frequency of 0 or less or above half the rate gives NaN. It
// panics where the gate cannot be.
func (g CycleGate) Spectrum(h *impulse.Impulse, zeroS float64, frequencyHz []float64) []complex128 {
	g.check()
	out := make([]complex128, len(frequencyHz))
	var own []int                // frequencies with a gate of their own
	fixed := map[float64][]int{} // by closing time
	for i, f := range frequencyHz {
		switch t := g.closeS(f); {
		case !(f > 0 && f <= h.RateHz/2):
			out[i] = complex(math.NaN(), math.NaN())
		case t == g.ShortestS || t == g.LongestS:
			fixed[t] = append(fixed[t], i)
		default:
			own = append(own, i)
		}
	}
	for t, which := range fixed {
		g.fixed(out, which, h.Gated(zeroS, g.of(t)), frequencyHz)
	}
	if len(own) > 0 {
		newCycleSum(h, zeroS, g).each(out, own, frequencyHz)
	}
	return out
}

func (g CycleGate) fixed(out []complex128, which []int, p impulse.Piece, frequencyHz []float64) {
	f := make([]float64, len(which))
	for k, i := range which {
		f[k] = frequencyHz[i]
	}
	for k, v := range p.Spectrum(f) {
		out[which[k]] = v
	}
}

// cycleSum adds up, for each frequency, the samples inside its gate one by one: high
// frequencies have few, so that a logarithmic grid costs little more than its lowest
// octave.
type cycleSum struct {
	gate    CycleGate
	samples []float64
	origin  float64 // of the first sample, in samples from time zero
	rateHz  float64
	edge    impulse.Edge
}

func newCycleSum(h *impulse.Impulse, zeroS float64, g CycleGate) cycleSum {
	from := int(math.Ceil((zeroS + g.OpenS) * h.RateHz))
	to := int(math.Floor((zeroS+g.LongestS)*h.RateHz)) + 1
	c := cycleSum{gate: g, samples: h.Cut(from, max(from, to)), rateHz: h.RateHz, edge: h.Edge(),
		origin: float64(from) - zeroS*h.RateHz}
	open := g.of(g.LongestS)
	open.CloseTaperS = 0
	for i := range c.samples { // the opening is the same for all
		if t := (c.origin + float64(i)) / c.rateHz; t < g.OpenS+g.OpenTaperS {
			c.samples[i] *= open.At(t)
		}
	}
	return c
}

// each sums at the frequencies of which, shared out between the processors in turn.
func (c cycleSum) each(out []complex128, which []int, frequencyHz []float64) {
	parts := runtime.GOMAXPROCS(0)
	var wg sync.WaitGroup
	for part := range parts {
		wg.Go(func() {
			for k := part; k < len(which); k += parts {
				i := which[k]
				v := []complex128{c.at(frequencyHz[i])}
				c.edge.Undo(frequencyHz[i:i+1], v)
				out[i] = v[0]
			}
		})
	}
	wg.Wait()
}

// renewEvery is after how many samples a recurrence of sines is begun anew.
const renewEvery = 1024

// at is Σ w(t) h(t) e^(−j2πft) with the closing taper w = ½+½cos.
func (c cycleSum) at(f float64) complex128 {
	closeS := c.gate.closeS(f)
	taperS := c.gate.CloseShare * closeS
	end := min(int(math.Floor(closeS*c.rateHz-c.origin))+1, len(c.samples))
	first := end // of the taper
	if taperS > 0 {
		first = min(max(int(math.Ceil((closeS-taperS)*c.rateHz-c.origin)), 0), end)
	}
	turning := angle{perSample: 2 * math.Pi * f / c.rateHz, atZero: 2 * math.Pi * f / c.rateHz * c.origin}
	sum := c.flat(0, first, turning)
	if first == end {
		return sum
	}
	step := math.Pi / (taperS * c.rateHz)
	return sum + c.falling(first, end, turning, angle{perSample: step, atZero: step * (c.origin - (closeS-taperS)*c.rateHz)})
}

// angle is one that grows with each sample, in radians.
type angle struct{ perSample, atZero float64 }

func (a angle) at(i int) (sin, cos float64) {
	return math.Sincos(a.perSample*float64(i) + a.atZero)
}

// flat is Σ x[i] e^(−ja) over from ≤ i < to.
func (c cycleSum) flat(from, to int, a angle) complex128 {
	var re, im float64
	stepSin, stepCos := math.Sincos(a.perSample)
	for ; from < to; from += renewEvery {
		sin, cos := a.at(from)
		for _, x := range c.samples[from:min(from+renewEvery, to)] {
			re += x * cos
			im -= x * sin
			cos, sin = cos*stepCos-sin*stepSin, sin*stepCos+cos*stepSin
		}
	}
	return complex(re, im)
}

// falling is flat with the weight ½+½cos b.
func (c cycleSum) falling(from, to int, a, b angle) complex128 {
	var re, im float64
	stepSin, stepCos := math.Sincos(a.perSample)
	fallSin, fallCos := math.Sincos(b.perSample)
	for ; from < to; from += renewEvery {
		sin, cos := a.at(from)
		y, w := b.at(from)
		for _, x := range c.samples[from:min(from+renewEvery, to)] {
			x *= 0.5 + 0.5*w
			re += x * cos
			im -= x * sin
			cos, sin = cos*stepCos-sin*stepSin, sin*stepCos+cos*stepSin
			w, y = w*fallCos-y*fallSin, y*fallCos+w*fallSin
		}
	}
	return complex(re, im)
}
