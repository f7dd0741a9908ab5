package octave

import (
	"math"
	"math/cmplx"
)

// Filter is a band filter that runs in time: a Butterworth band-pass of order 8, four
// sections in a row. It is −3.01 dB at both edges of its band and lies within class 1
// of IEC 61260-1:2014 (and of the edition of 1995) for every band that NewFilter
// takes. It holds no state and is safe for concurrent use.
type Filter struct {
	Band     Band
	RateHz   float64
	sections [filterPairs]section
}

// filterPairs is the order of the low-pass that the filter is made from, hence also
// its number of sections. With three, class 1 is missed by up to 10 dB near half the
// sample rate, where the bilinear transform makes the lower flank shallow.
const filterPairs = 4

// highestEdge is the highest upper edge that a filter may have, re the sample rate:
// the third octave of 20 kHz at 48 kHz.
const highestEdge = 0.467

// section is g(1−z⁻²)/(1+a₁z⁻¹+a₂z⁻²).
type section struct{ gain, a1, a2 float64 }

// NewFilter returns the filter for a band. ok is false where the band reaches beyond
// 0.467 of the sample rate and cannot be filtered.
//
// The poles of a Butterworth low-pass are moved by s → (s²+w₀²)/(Bs), w₀² and B from
// the edges tan(πf/fs), and brought to z by the bilinear transform (A. V. Oppenheim
// and R. W. Schafer, "Discrete-Time Signal Processing", section 7.1). Each section
// has gain 1 at the middle of the band.
func NewFilter(b Band, rateHz float64) (filter *Filter, ok bool) {
	if !(b.HighHz <= highestEdge*rateHz) {
		return nil, false
	}
	low, high := math.Tan(math.Pi*b.LowHz/rateHz), math.Tan(math.Pi*b.HighHz/rateHz)
	width, middle2 := complex(high-low, 0), complex(low*high, 0)
	centre := math.Atan(math.Sqrt(low*high)) / math.Pi // cycles per sample
	filter = &Filter{Band: b, RateHz: rateHz}
	for k := range filterPairs / 2 {
		pole := cmplx.Rect(1, math.Pi/2+math.Pi*float64(2*k+1)/(2*filterPairs))
		half := pole * width / 2
		root := cmplx.Sqrt(half*half - middle2)
		filter.sections[2*k] = newSection(half+root, centre)
		filter.sections[2*k+1] = newSection(half-root, centre)
	}
	return filter, true
}

// newSection makes a section from one of a pair of poles in s.
func newSection(pole complex128, centre float64) section {
	z := (1 + pole) / (1 - pole)
	s := section{gain: 1, a1: -2 * real(z), a2: real(z)*real(z) + imag(z)*imag(z)}
	s.gain = 1 / cmplx.Abs(s.at(centre))
	return s
}

// at is the response at f cycles per sample.
func (s section) at(f float64) complex128 {
	sin, cos := math.Sincos(2 * math.Pi * f)
	z1 := complex(cos, -sin) // z⁻¹
	return complex(s.gain, 0) * (1 - z1*z1) / (1 + z1*(complex(s.a1, 0)+z1*complex(s.a2, 0)))
}

// At returns the complex response of the filter at a frequency.
func (f *Filter) At(frequencyHz float64) complex128 {
	h := complex(1, 0)
	for _, s := range f.sections {
		h *= s.at(frequencyHz / f.RateHz)
	}
	return h
}

// Run returns the samples through the filter, from rest. What rings on after the last
// sample is cut off: append silence to have it.
func (f *Filter) Run(samples []float64) []float64 {
	out := append([]float64(nil), samples...)
	for _, s := range f.sections {
		s.run(out)
	}
	return out
}

// run filters in place (transposed direct form II).
func (s section) run(x []float64) {
	var s1, s2 float64
	for n, v := range x {
		v *= s.gain
		y := v + s1
		s1 = s2 - s.a1*y
		s2 = -v - s.a2*y
		x[n] = y
	}
}
