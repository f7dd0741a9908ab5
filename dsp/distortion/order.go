package distortion

import (
	"math"

	"stillroom/dsp/excitation"
	"stillroom/dsp/impulse"
)

// Highest is the highest order that is separated.
const Highest = 9

// The window of an order takes this share of the gap on either side of it: the
// response decays to the right, so that is where the room is needed. Both flanks
// follow the integral of the four-term Blackman–Harris window (F. J. Harris, Proc.
// IEEE 66, 1978), whose side lobes lie 92 dB down and more.
const (
	leftShare  = 0.3
	rightShare = 0.7
	rightFlank = 0.7 // of the right side; the left side is all flank
)

// Periods of the excitation that must pass, while the frequency grows by e and
// since the fade-in ended, for an order at −80 dB to be separated to a tenth of a
// dB. Found on polynomial devices; TestLowEndOfMeasurableRange proves them.
const (
	cyclesPerE     = 14
	cyclesFromFade = 8.5
)

// lowestHz is the excitation frequency from which orders can be separated.
func lowestHz(s excitation.Sweep) float64 {
	l, full := s.L(), s.FullFromHz()
	f := math.Max(full, cyclesPerE/l)
	for f*l*math.Log(f/full) < cyclesFromFade {
		f *= 1.005
	}
	return f
}

// Order is the window on one harmonic, or on the fundamental (N = 1).
type Order struct {
	N      int
	FromHz float64 // of the excitation: where this order can be measured
	ToHz   float64
	piece  impulse.Piece
}

// Separate cuts order n out of h. zeroS is the lag of the arrival of the
// fundamental; pauseS is how long the recording goes on after the sweep. It panics
// for n below 1 or above Highest.
func Separate(h *impulse.Impulse, s excitation.Sweep, zeroS, pauseS float64, n int) Order {
	if n < 1 || n > Highest {
		panic("distortion: no such order")
	}
	l := s.L()
	left := leftShare * l * math.Log(float64(n+1)/float64(n))
	right := pauseS
	if n > 1 {
		right = rightShare * l * math.Log(float64(n)/float64(n-1))
	}
	at := zeroS - l*math.Log(float64(n))
	return Order{
		N:      n,
		FromHz: lowestHz(s),
		ToHz:   s.FullToHz() / float64(n),
		piece:  cut(h, at, left, right),
	}
}

// cut windows h from at−left to at+right.
func cut(h *impulse.Impulse, at, left, right float64) impulse.Piece {
	from := int(math.Ceil((at - left) * h.RateHz))
	to := int(math.Floor((at+right)*h.RateHz)) + 1
	p := impulse.Piece{Samples: h.Cut(from, to), RateHz: h.RateHz, Edge: h.Edge(),
		Origin: float64(from) - at*h.RateHz}
	for i := range p.Samples {
		t := (p.Origin + float64(i)) / h.RateHz
		w := flank((t+left)/left) * flank((right-t)/(rightFlank*right))
		p.Samples[i] *= w
		p.Window2 += w * w
	}
	return p
}

// flank rises from 0 at u ≤ 0 to 1 at u ≥ 1.
func flank(u float64) float64 {
	switch {
	case u <= 0:
		return 0
	case u >= 1:
		return 1
	}
	const a0, a1, a2, a3 = 0.35875, 0.48829, 0.14128, 0.01168
	x := 2 * math.Pi * u
	sin, cos := math.Sincos(x) // sin 2x = 2 sin cos, sin 3x = sin (3 - 4 sin²)
	return (a0*x - a1*sin + a2*sin*cos - a3*sin*(3-4*sin*sin)/3) / (a0 * 2 * math.Pi)
}

// Spectrum returns H_N at excitation frequencies f0: the complex spectrum of the
// order at its own frequency N·f0. NaN outside FromHz to ToHz.
func (o Order) Spectrum(excitationHz []float64) []complex128 {
	out := o.piece.Spectrum(o.times(excitationHz))
	for i, f := range excitationHz {
		if f < o.FromHz || f > o.ToHz {
			out[i] = complex(math.NaN(), math.NaN())
		}
	}
	return out
}

// Power returns |H_N(N·f0)|² at excitation frequencies f0, averaged over
// 1/fraction of an octave (0: not at all). NaN outside FromHz to ToHz.
func (o Order) Power(excitationHz []float64, fraction int) []float64 {
	n := float64(o.N)
	return o.piece.SmoothedPower(o.times(excitationHz), fraction, n*o.FromHz, n*o.ToHz)
}

// times returns n·f, kept where it can be evaluated.
func (o Order) times(f []float64) []float64 {
	out := make([]float64, len(f))
	for i, v := range f {
		out[i] = math.Min(float64(o.N)*v, o.piece.RateHz/2)
	}
	return out
}

// Window2 is Σw² of the window of the order: what white noise gains in it.
func (o Order) Window2() float64 { return o.piece.Window2 }

// LevelsDB returns the level of each order re the fundamental, at the excitation
// frequency.
func LevelsDB(order, fundamental []float64) []float64 {
	out := make([]float64, len(order))
	for i := range out {
		out[i] = 10 * math.Log10(order[i]/fundamental[i])
	}
	return out
}

// TotalDB is the total harmonic distortion re the fundamental: the root of the sum
// of squares of those orders whose level is a number at that frequency (THD_F;
// IEC 60268-5:2003, 24.1, refers to the total instead: THD_R = THD_F/√(1+THD_F²)).
// Where no order is a number the result is NaN.
func TotalDB(levelsDB [][]float64) []float64 {
	if len(levelsDB) == 0 {
		return nil
	}
	out := make([]float64, len(levelsDB[0]))
	for i := range out {
		sum := math.NaN()
		for _, level := range levelsDB {
			if math.IsNaN(level[i]) {
				continue
			}
			if math.IsNaN(sum) {
				sum = 0
			}
			sum += math.Pow(10, level[i]/10)
		}
		out[i] = 10 * math.Log10(sum)
	}
	return out
}
