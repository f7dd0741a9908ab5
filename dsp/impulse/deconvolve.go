package impulse

import (
	"fmt"
	"math"

	"stillroom/dsp/excitation"
	"stillroom/dsp/fft"
)

// Regularisation of the division, re the density of the stimulus around each
// frequency: inside the band, and outside it, where the stimulus fades and only
// noise would be divided. Referred to the peak of the whole spectrum the first would
// cost 0.008 dB.
const (
	regularisation = 1e-7 // −70 dB
	outside        = 1e-5 // −50 dB
)

// Band is the band that a stimulus excites.
type Band struct {
	EdgeHz float64 // corner of the causal low edge; about where the stimulus begins
	FromHz float64 // excited fully from here
	FullHz float64 // excited fully up to here
	StopHz float64 // and not at all from here on
}

// BandOf returns the band of a sweep.
func BandOf(s excitation.Sweep) Band {
	return Band{EdgeHz: s.StartHz, FromHz: s.FullFromHz(), FullHz: s.FullToHz(), StopHz: s.EndHz}
}

// Deconvolver divides recordings by one stimulus. It holds scratch space: one
// goroutine at a time.
type Deconvolver struct {
	plan    *fft.Real
	inverse []complex128
	bins    []complex128
	rateHz  float64
	band    Band
	density []float64
}

// NewDeconvolver prepares the division by the stimulus as it was emitted, for
// recordings of up to frames samples. It panics where the stimulus is longer.
//
// The quotient is Y X*/(|X|²+ε), ε being −70 dB re the mean of |X|² over the
// octave around each frequency, and rising to −50 dB where the stimulus fades in; below
// the band that mean is carried on as 1/f. The band is limited by the causal Edge below and
// by half a raised cosine between FullHz and StopHz above.
func NewDeconvolver(stimulus []float64, rateHz float64, frames int, band Band) *Deconvolver {
	if len(stimulus) > frames {
		panic(fmt.Sprintf("impulse: stimulus of %d samples for recordings of %d", len(stimulus), frames))
	}
	n := fft.GoodLength(frames)
	d := &Deconvolver{plan: fft.NewReal(n), rateHz: rateHz, band: band}
	d.inverse = d.plan.Coefficients(nil, stimulus)
	d.bins = make([]complex128, len(d.inverse))
	d.density = density(d.inverse)
	band.carryOn(d.density, rateHz/float64(n))
	edge := Edge{band.EdgeHz}
	df := rateHz / float64(n)
	for k, x := range d.inverse {
		f := float64(k) * df
		b := band.taper(f)
		if b == 0 {
			d.inverse[k] = 0
			continue
		}
		q := real(x)*real(x) + imag(x)*imag(x) + band.regularise(f)*d.density[k]
		d.inverse[k] = complex(real(x)/q*b, -imag(x)/q*b) * edge.At(f)
	}
	return d
}

// Frames is the longest recording the deconvolver takes.
func (d *Deconvolver) Frames() int { return d.plan.Len() }

// Impulse returns the impulse response in a recording, which is taken as followed
// by silence. It panics where the recording is longer than Frames.
func (d *Deconvolver) Impulse(recording []float64) *Impulse {
	d.plan.Coefficients(d.bins, recording)
	for k, v := range d.inverse {
		d.bins[k] *= v
	}
	return &Impulse{Samples: d.plan.Sequence(nil, d.bins), RateHz: d.rateHz, Band: d.band}
}

// Density returns |X(f)|² of the stimulus, smoothed over an octave, in the scale
// of a DFT of its samples.
func (d *Deconvolver) Density(f float64) float64 {
	x := f / d.rateHz * float64(d.plan.Len())
	k := min(max(int(x), 0), len(d.density)-2)
	u := min(max(x-float64(k), 0), 1)
	return d.density[k]*(1-u) + d.density[k+1]*u
}

// regularise is ε re the density at f.
func (b Band) regularise(f float64) float64 {
	if f >= b.FromHz || b.FromHz <= b.EdgeHz || f <= 0 {
		return regularisation
	}
	u := math.Min(1, math.Log(b.FromHz/f)/math.Log(b.FromHz/b.EdgeHz))
	return regularisation * math.Pow(outside/regularisation, u)
}

// carryOn continues the density below the band as 1/f from what it is a little
// inside.
func (b Band) carryOn(density []float64, width float64) {
	k0 := int(math.Ceil(b.FromHz * math.Sqrt2 / width))
	if b.FromHz <= 0 || k0 >= len(density) {
		return
	}
	for k := range density[:k0] {
		density[k] = density[k0] * float64(k0) / float64(max(k, 1))
	}
}

// taper is the zero-phase part of the band limit: it keeps the causal edge from
// amplifying what lies far below the stimulus, and closes the top.
func (b Band) taper(f float64) float64 {
	w := 1.0
	switch {
	case b.EdgeHz > 0 && f < 0.35*b.EdgeHz:
		return 0
	case b.EdgeHz > 0 && f < 0.7*b.EdgeHz:
		w = excitation.RaisedCosine(math.Log2(f / (0.35 * b.EdgeHz)))
	case f >= b.StopHz:
		return 0
	case f > b.FullHz:
		w = excitation.RaisedCosine(math.Log(b.StopHz/f) / math.Log(b.StopHz/b.FullHz))
	}
	return w
}

// density is |X|² averaged over the octave around each bin.
func density(x []complex128) []float64 {
	sum := make([]float64, len(x)+1)
	for k, v := range x {
		sum[k+1] = sum[k] + real(v)*real(v) + imag(v)*imag(v)
	}
	out := make([]float64, len(x))
	for k := range out {
		lo := int(float64(k) * math.Sqrt2 / 2)
		hi := min(int(float64(k)*math.Sqrt2)+1, len(x))
		out[k] = (sum[hi] - sum[lo]) / float64(hi-lo)
	}
	return out
}
