package take

import (
	"math"

	"stillroom/dsp/excitation"
	"stillroom/dsp/impulse"
)

// Limits on clocks.
const (
	// lostPPM is more than any two clocks differ by.
	lostPPM = 500
	// correctedSlip is how far, in periods of the highest frequency, the clocks may
	// slide over a take before the recording is resampled.
	correctedSlip = 0.005
	// wholeSlip is how near to a whole number of samples a slip must lie to be lost
	// samples rather than drift.
	wholeSlip = 0.05
)

// Clock is what the timing marks say of the two clocks.
type Clock struct {
	// DriftPPM is ε·10⁶ where y(t) = x((1+ε)t) was recorded of x: positive when the
	// recording is too short, its clock slow. NaN where it cannot be known.
	DriftPPM  float64
	Corrected bool    // the recording was resampled to the playing clock
	SlipS     float64 // by how much the marks lie too far apart; NaN: not known
	Lost      int     // samples missing between the marks (negative: repeated); 0: none
}

// clocks compares the clock of the recording with that of the playing by the
// distance between the two marks, or between the first and the last repeat.
func (s *Study) clocks(coarse int) Clock {
	unknown := Clock{DriftPPM: math.NaN(), SlipS: math.NaN()}
	var first, last excitation.Span
	low, high := s.stimulus.MarkLow, s.stimulus.MarkTop
	switch l := s.stimulus.Layout; {
	case len(l.Marks) == 2:
		first, last = l.Marks[0], l.Marks[1]
	case len(l.Sweeps) > 1:
		first, last = l.Sweeps[0], l.Sweeps[len(l.Sweeps)-1]
		low, high = s.stimulus.LowHz, s.stimulus.HighHz
	default:
		return unknown
	}
	margin := int(0.03 * s.rateHz)
	a := s.piece(first.From+coarse-margin, first.To+coarse+4*margin)
	b := s.piece(last.From+coarse-margin, last.To+coarse+4*margin)
	if len(a) == 0 || len(a) != len(b) {
		return unknown
	}
	off, confidence := impulse.Delay(a, b, s.rateHz, low, high)
	if confidence < 0.5 {
		return unknown
	}
	played := float64(last.From - first.From)
	c := Clock{SlipS: off / s.rateHz, DriftPPM: 1e6 * (played/(played+off) - 1)}
	whole := math.Round(off)
	if math.Abs(c.DriftPPM) > lostPPM || s.oneClock && whole != 0 && math.Abs(off-whole) < wholeSlip {
		c.Lost, c.DriftPPM = -int(whole), math.NaN()
	}
	return c
}

// corrected returns the recording as the playing clock would have made it.
func (c Clock) corrected(x []float64) []float64 {
	return impulse.Resample(x, 1e6*(1/(1+c.DriftPPM*1e-6)-1))
}

// correctable reports whether the recording wants to be resampled.
func (s *Study) correctable() bool {
	return s.clock.Lost == 0 && math.Abs(s.clock.SlipS)*s.stimulus.HighHz > correctedSlip
}
