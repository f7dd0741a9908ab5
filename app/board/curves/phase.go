package curves

import (
	"math"

	"stillroom/dsp/response"
)

// noPhase says why a trace has no phase.
const noPhase = "its phase is not known"

// PhaseDeg is the phase, wrapped to (−180°, 180°], from the time zero of the trace.
// why says why it is not known.
func (t *Trace) PhaseDeg() (deg []float64, why string) {
	if t.Problem != "" || !t.sound.phased {
		return nil, firstOf(t.Problem, noPhase)
	}
	return response.WrappedDeg(t.sound.h), ""
}

// UnwrappedDeg is the phase without its jumps.
func (t *Trace) UnwrappedDeg() (deg []float64, why string) {
	deg, why = t.PhaseDeg()
	if why != "" {
		return nil, why
	}
	return response.UnwrapDeg(deg), ""
}

// MinusDelayDeg is the phase from the arrival on: the time of flight, where phase
// counts from the output, is taken out. Wrapped.
func (t *Trace) MinusDelayDeg() (deg []float64, why string) {
	if t.Problem != "" || !t.sound.phased {
		return nil, firstOf(t.Problem, noPhase)
	}
	return response.WrappedDeg(response.MinusDelay(t.sound.gridHz, t.sound.h, t.sound.flightS)), ""
}

// MinimumDeg is the minimum phase that belongs to the magnitude, wrapped: of what is
// read of the impulse response at its full resolution, or of the curve on the grid. It
// carries the magnitude on with the slope that it has at the ends of its band.
func (t *Trace) MinimumDeg() (deg []float64, why string) {
	if t.Problem != "" {
		return nil, t.Problem
	}
	return response.WrapDeg(t.sound.minimum()), ""
}

// ExcessDeg is what the phase has beyond the minimum phase and the delay, wrapped.
func (t *Trace) ExcessDeg() (deg []float64, why string) {
	h, why := t.excess()
	if why != "" {
		return nil, why
	}
	return response.WrappedDeg(h), ""
}

// GroupDelayS is the group delay in seconds, from the time zero of the trace.
func (t *Trace) GroupDelayS() (s []float64, why string) {
	if t.Problem != "" || !t.sound.phased {
		return nil, firstOf(t.Problem, noPhase)
	}
	return response.GroupDelayS(t.sound.gridHz, t.sound.h), ""
}

// ExcessGroupDelayS is the group delay beyond that of the minimum phase and the delay.
func (t *Trace) ExcessGroupDelayS() (s []float64, why string) {
	h, why := t.excess()
	if why != "" {
		return nil, why
	}
	return response.GroupDelayS(t.sound.gridHz, h), ""
}

func (t *Trace) excess() ([]complex128, string) {
	if t.Problem != "" || !t.sound.phased {
		return nil, firstOf(t.Problem, noPhase)
	}
	s := t.sound
	return once(s, "excess", func() []complex128 {
		return response.Excess(response.MinusDelay(s.gridHz, s.h, s.flightS), s.minimum())
	}), ""
}

// minimum is the minimum phase in degrees, not wrapped, of the magnitude in the valid
// band. Where there is an impulse response it is that of its own fine spectrum, and the
// corrections, whose levels add, come on top.
func (s *sound) minimum() []float64 {
	return once(s, "minimum", func() []float64 {
		levels := response.LevelsDB(powers(s.h))
		for i, hz := range s.gridHz {
			if hz < s.lowHz || hz > s.highHz {
				levels[i] = math.NaN()
			}
		}
		tails := response.TailsOf(s.gridHz, levels)
		if s.opening == nil || s.cycles > 0 {
			return response.MinimumPhaseDeg(s.gridHz, levels, s.rateHz, tails)
		}
		own := response.Grid(s.rateHz)
		factors := s.factors(own)
		corrections := response.MinimumPhaseDeg(own, response.LevelsDB(powers(factors)), s.rateHz, response.Tails{})
		out := response.MinimumPhaseOf(s.opening.Piece, own, s.lowHz, s.highHz, tails)
		for i, deg := range corrections {
			out[i] += deg
		}
		return padded(s.gridHz, out)
	})
}

func firstOf(texts ...string) string {
	for _, t := range texts {
		if t != "" {
			return t
		}
	}
	return ""
}
