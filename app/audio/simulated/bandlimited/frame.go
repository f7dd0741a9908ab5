// Package bandlimited treats sampled signals as what they stand for: continuous
// signals with nothing above half the sample rate. A Frame turns a whole signal
// into its spectrum and back, so that analog transfer functions act on it exactly,
// and onto a finer grid, where products of signals make no alias. A Kernel reads a
// signal between its samples.
package bandlimited

import (
	"fmt"
	"sync"

	"stillroom/dsp/fft"
)

// Pool keeps transform plans between uses. The zero value is ready, and it is safe
// for use from several goroutines.
type Pool struct {
	mu    sync.Mutex
	plans map[int][]*fft.Real
}

// Frame is a signal's length and rate, and the transforms that go with it. It is
// safe for use from several goroutines.
type Frame struct {
	RateHz float64
	n      int
	pool   *Pool
}

// Frame returns a frame of at least the given length.
func (p *Pool) Frame(rateHz float64, frames int) *Frame {
	return &Frame{RateHz: rateHz, n: fft.GoodLength(frames), pool: p}
}

// Len is the number of samples of the frame.
func (f *Frame) Len() int { return f.n }

// Bins is the number of spectral values, from 0 Hz to half the rate.
func (f *Frame) Bins() int { return f.n/2 + 1 }

// FrequencyHz is the frequency of bin k.
func (f *Frame) FrequencyHz(k int) float64 { return float64(k) * f.RateHz / float64(f.n) }

// Spectrum transforms x, taken as followed by zeros.
func (f *Frame) Spectrum(x []float64) []complex128 {
	plan := f.pool.take(f.n)
	defer f.pool.give(plan)
	return plan.Coefficients(nil, x)
}

// Signal undoes Spectrum.
func (f *Frame) Signal(spectrum []complex128) []float64 {
	plan := f.pool.take(f.n)
	defer f.pool.give(plan)
	return plan.Sequence(nil, spectrum)
}

// Finer returns the signal of a spectrum at times the rate of the frame.
func (f *Frame) Finer(spectrum []complex128, times int) []float64 {
	if len(spectrum) != f.Bins() {
		panic(fmt.Sprintf("bandlimited: %d bins for a frame of %d", len(spectrum), f.Bins()))
	}
	plan := f.pool.take(f.n * times)
	defer f.pool.give(plan)
	padded := make([]complex128, f.n*times/2+1)
	for k, v := range spectrum {
		padded[k] = v * complex(float64(times), 0)
	}
	if times > 1 {
		padded[f.n/2] /= 2 // half of it belongs to the bin's mirror
	}
	return plan.Sequence(nil, padded)
}

// Coarser returns the spectrum, at the frame's own rate, of a signal on a grid
// times finer. What lies at half the rate or above is left out.
func (f *Frame) Coarser(x []float64, times int) []complex128 {
	plan := f.pool.take(f.n * times)
	defer f.pool.give(plan)
	out := plan.Coefficients(nil, x)[:f.Bins():f.Bins()]
	for k := range out {
		out[k] /= complex(float64(times), 0)
	}
	if times > 1 {
		out[f.n/2] = complex(2*real(out[f.n/2]), 0)
	}
	return out
}

func (p *Pool) take(n int) *fft.Real {
	p.mu.Lock()
	defer p.mu.Unlock()
	free := p.plans[n]
	if len(free) == 0 {
		return fft.NewReal(n)
	}
	p.plans[n] = free[:len(free)-1]
	return free[len(free)-1]
}

// keptLengths is how many lengths of plan a pool holds on to.
const keptLengths = 6

func (p *Pool) give(plan *fft.Real) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if _, known := p.plans[plan.Len()]; !known && len(p.plans) >= keptLengths || p.plans == nil {
		p.plans = make(map[int][]*fft.Real)
	}
	p.plans[plan.Len()] = append(p.plans[plan.Len()], plan)
}
