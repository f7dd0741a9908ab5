// Package staircase plays the same sweep at rising levels until something says stop: the
// distortion, the compression, a drive limit, or a recording that clips. What a folded or
// a large diaphragm does when driven hard is a question of level, and this is the answer:
// level, distortion and compression of each step, and how loud each octave gets below a
// chosen distortion.
package staircase

import (
	"fmt"
	"math"

	"stillroom/app/take"
	"stillroom/dsp/excitation"
)

// Caution stands beside the button that starts a staircase.
const Caution = "Sweeps follow that get louder step by step, up to the level named. Protect your ears above 85 dB(A), take headphones off every head, and set the band so that a tweeter gets no low frequencies. Esc or Ctrl+C silences at once."

// Bounds of a staircase.
const (
	mostSteps   = 40
	widestStep  = 6.0  // dB, so that no step is a surprise
	finestStep  = 0.25 // dB
	longestRest = 600  // s
)

// Plan is a staircase to be climbed.
type Plan struct {
	Programme excitation.Programme // the sweep; each step has its own level in place of LevelDBFS
	FromDBFS  float64
	ToDBFS    float64
	StepDB    float64
	RestS     float64 // after each step, for a coil to cool; 0: none
	Stop      Stop

	Gate      take.Gate
	Smoothing int // 1/n octave; 0: none
}

// Stop says when to stop: after the step in which something passes its limit inside the
// band. A limit of 0 is none.
type Stop struct {
	THDPercent    float64 // total harmonic distortion re the fundamental at any frequency
	CompressionDB float64 // that the level falls short of what the first step promises
	FromHz, ToHz  float64 // where both are looked at; 0, 0: all that is valid
}

// Levels are the levels of the steps in dBFS, from below.
func (p Plan) Levels() []float64 {
	var out []float64
	for i := 0; ; i++ {
		level := p.FromDBFS + float64(i)*p.StepDB
		if level > p.ToDBFS+1e-9 || i > mostSteps {
			return out
		}
		out = append(out, level)
	}
}

// Check tells what is wrong with a plan, and what to do.
func (p Plan) Check() error {
	for _, v := range []float64{p.FromDBFS, p.ToDBFS, p.StepDB, p.RestS, p.Stop.THDPercent, p.Stop.CompressionDB, p.Stop.FromHz, p.Stop.ToHz} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("levels, steps and limits of a staircase must be numbers")
		}
	}
	switch {
	case p.StepDB < finestStep || p.StepDB > widestStep:
		return fmt.Errorf("a step is %g to %g dB high (got %g dB): climb slowly", finestStep, widestStep, p.StepDB)
	case p.ToDBFS < p.FromDBFS:
		return fmt.Errorf("a staircase rises: its last level must not be below its first (got %g to %g dBFS)", p.FromDBFS, p.ToDBFS)
	case len(p.Levels()) > mostSteps:
		return fmt.Errorf("a staircase has %d steps at most: choose higher steps or a shorter range", mostSteps)
	case p.RestS < 0 || p.RestS > longestRest:
		return fmt.Errorf("the rest after a step lasts 0 to %d s (got %g s)", longestRest, p.RestS)
	case p.Stop.THDPercent < 0 || p.Stop.CompressionDB < 0:
		return fmt.Errorf("a stop is a distortion in %% or a compression in dB above 0, or 0 for none")
	case p.Stop.FromHz < 0 || p.Stop.ToHz != 0 && p.Stop.ToHz <= p.Stop.FromHz:
		return fmt.Errorf("the band of the stops reaches from one frequency to a higher one (got %g Hz to %g Hz)", p.Stop.FromHz, p.Stop.ToHz)
	}
	return p.settings().Check()
}

// settings are those that each step is analysed with.
func (p Plan) settings() take.Settings {
	set := take.DefaultSettings()
	set.Gate, set.Smoothing, set.Level = p.Gate, p.Smoothing, take.SPL
	return set
}
