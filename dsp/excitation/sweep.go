package excitation

import "math"

// Fades of a sweep, in octaves of its own frequency. They lie outside the band
// that is to be fully excited.
const (
	FadeInOctaves  = 0.5
	FadeOutOctaves = 1.0 / 12
)

// Sweep is an exponential sweep in the synchronised form
//
//	x(t) = sin(2π f₁ L e^{t/L}),  L = T / ln(f₂/f₁),  0 ≤ t ≤ T
//
// (A. Novak, P. Lotton, L. Simon, "Synchronized Swept-Sine", J. Audio Eng. Soc.
// 63(10), 2015, eq. 9). Its phase is a pure exponential, so that its N-th harmonic
// is the sweep itself, earlier by L ln N and with its right phase, for any L.
type Sweep struct {
	StartHz   float64 // f₁
	EndHz     float64 // f₂
	DurationS float64 // T
}

// SweepOver returns the sweep of durationS that excites lowHz to highHz fully at
// the sample rate: it begins an octave below and ends a sixth of an octave above,
// as far as the rate carries it.
func SweepOver(lowHz, highHz, durationS, rateHz float64) Sweep {
	end := math.Min(highHz*math.Pow(2, 1.0/6), 0.98*rateHz/2)
	return Sweep{StartHz: lowHz / 2, EndHz: end, DurationS: durationS}
}

// L is the time in which the frequency grows by e, in seconds. Harmonic N arrives
// L ln N before the fundamental.
func (s Sweep) L() float64 { return s.DurationS / math.Log(s.EndHz/s.StartHz) }

// FullFromHz is the frequency above which the fade-in is over.
func (s Sweep) FullFromHz() float64 { return s.StartHz * math.Pow(2, FadeInOctaves) }

// FullToHz is the frequency at which the fade-out begins.
func (s Sweep) FullToHz() float64 { return s.EndHz * math.Pow(2, -FadeOutOctaves) }

// TimeAt returns when the sweep passes frequency f, in seconds from its start.
func (s Sweep) TimeAt(f float64) float64 { return s.L() * math.Log(f/s.StartHz) }

// FrequencyAt returns the frequency at time t, in Hz.
func (s Sweep) FrequencyAt(t float64) float64 { return s.StartHz * math.Exp(t/s.L()) }

// Phase returns the phase of the sweep at time t, in radians.
func (s Sweep) Phase(t float64) float64 {
	return 2 * math.Pi * s.StartHz * s.L() * math.Exp(t/s.L())
}

// Len is the number of samples of the sweep at the sample rate.
func (s Sweep) Len(rateHz float64) int { return int(math.Ceil(s.DurationS * rateHz)) }

// Samples renders the sweep with its fades at the sample rate; its peak is 1.
func (s Sweep) Samples(rateHz float64) []float64 {
	fadeIn := FadeInOctaves * math.Ln2 * s.L()
	fadeOut := FadeOutOctaves * math.Ln2 * s.L()
	x := make([]float64, s.Len(rateHz))
	for n := range x {
		t := float64(n) / rateHz
		x[n] = RaisedCosine(t/fadeIn) * RaisedCosine((s.DurationS-t)/fadeOut) * math.Sin(s.Phase(t))
	}
	return x
}

// Density is |X(f)|² of a sweep of peak 1 by stationary phase, in the scale of a
// DFT at the sample rate: (fs/2)² L/f (Novak et al. 2015, eq. 43, for a sampled
// signal). It holds where the sweep is fully excited.
func (s Sweep) Density(f, rateHz float64) float64 { return rateHz * rateHz / 4 * s.L() / f }

// RaisedCosine rises from 0 at u ≤ 0 to 1 at u ≥ 1.
func RaisedCosine(u float64) float64 {
	switch {
	case u <= 0:
		return 0
	case u >= 1:
		return 1
	}
	return 0.5 - 0.5*math.Cos(math.Pi*u)
}
