package model

import (
	"errors"
	"fmt"
	"math"

	"stillroom/app/rig"
	"stillroom/dsp/excitation"
	"stillroom/dsp/level"
)

// ErrLimit says that sound was refused since it would drive a model beyond its
// limits. Nothing was played: a limit is never kept by turning the sound down.
var ErrLimit = errors.New("nothing was played")

// ErrUnchecked is the ErrLimit of a limit in volts on an output that is not calibrated,
// so that nobody knows whether it would be kept.
var ErrUnchecked = fmt.Errorf("%w, since its limit in volts cannot be checked", ErrLimit)

// Limits are how hard what is connected to an output may be driven. The zero value
// limits nothing. A limit that is no number refuses everything.
type Limits struct {
	Model        string  `json:",omitzero"` // whose they are; "": of what is connected
	LowestHz     float64 `json:",omitzero"` // nothing lower is played; 0: not limited
	HighestVolts float64 `json:",omitzero"` // V rms of a sine; 0: not limited

	// Unchecked is set where a person accepted that the output is not calibrated and
	// the volts are therefore not known.
	Unchecked bool `json:",omitzero"`
}

// Limits are those of a model.
func (m Model) Limits() Limits { return Limits{m.Name, m.LowestHz, m.HighestVolts, false} }

// None tells whether nothing is limited.
func (l Limits) None() bool { return l.LowestHz == 0 && l.HighestVolts == 0 }

// Refuse tells why a programme may not be played through a rig, and what to do. The
// error wraps ErrLimit. A sweep counts from where it is first heard, which is an
// octave below its band; the timing marks never go lower.
func (l Limits) Refuse(p excitation.Programme, r rig.Rig) error {
	if start := p.Sweep().StartHz; l.below(start) {
		return fmt.Errorf("%w: the sweep rises from %.4g Hz, an octave below its band, and %s may be driven from %g Hz up: begin the band at %g Hz or higher",
			ErrLimit, start, l.who(), l.LowestHz, 2*l.LowestHz)
	}
	return l.refuseLevel("sweep", p.LevelDBFS, r)
}

// RefuseTone is Refuse for a steady tone.
func (l Limits) RefuseTone(hz, levelDBFS float64, r rig.Rig) error {
	if l.below(hz) {
		return fmt.Errorf("%w: the tone of %g Hz is too low, %s may be driven from %g Hz up: raise the tone, or disconnect what is driven and say so",
			ErrLimit, hz, l.who(), l.LowestHz)
	}
	return l.refuseLevel("tone", levelDBFS, r)
}

func (l Limits) below(hz float64) bool { return l.LowestHz != 0 && !(hz >= l.LowestHz*(1-1e-9)) }

func (l Limits) refuseLevel(what string, levelDBFS float64, r rig.Rig) error {
	highest, known := l.HighestDBFS(r)
	switch {
	case !known && l.Unchecked:
		return nil
	case !known:
		return fmt.Errorf("%w: %s may get %g V at most, and the output of %q is not calibrated: calibrate its voltage, or accept that the volts are not known",
			ErrUnchecked, l.who(), l.HighestVolts, r.Name)
	case !(levelDBFS <= highest+1e-9):
		return fmt.Errorf("%w: the %s of %.1f dBFS is %.3g V, and %s may get %g V at most: play at %.1f dBFS or lower",
			ErrLimit, what, levelDBFS, fullVolts(r)*level.Ratio(levelDBFS), l.who(), l.HighestVolts, math.Floor(highest*10)/10)
	}
	return nil
}

// HighestDBFS is the highest level that the limit in volts allows on a rig; 0 where
// there is none. known is false where there is one and the output is not calibrated.
func (l Limits) HighestDBFS(r rig.Rig) (dbfs float64, known bool) {
	if l.HighestVolts == 0 {
		return 0, true
	}
	full := fullVolts(r)
	return level.DBFS(l.HighestVolts, full), !math.IsNaN(full)
}

// fullVolts is the rms voltage of a sine of 0 dBFS at the rig's output; NaN where that
// is not calibrated.
func fullVolts(r rig.Rig) float64 { return r.Chain(r.InputChannel).VoltsAtFS }

// who names whose limits they are.
func (l Limits) who() string {
	if l.Model == "" {
		return "what is connected"
	}
	return l.Model
}

// Check tells what cannot be a limit or an impedance, and what can.
func (m Model) Check() error {
	switch {
	case !(m.LowestHz >= 0 && m.LowestHz <= 20000):
		return fmt.Errorf("the lowest frequency of a model is 0 (not limited) to 20000 Hz (got %g)", m.LowestHz)
	case !(m.HighestVolts >= 0 && m.HighestVolts <= 1000):
		return fmt.Errorf("the highest voltage of a model is 0 (not limited) to 1000 V (got %g)", m.HighestVolts)
	case !(m.RatedImpedanceOhm >= 0 && m.RatedImpedanceOhm <= 10000):
		return fmt.Errorf("the rated impedance of a model is 0 (not known) to 10000 Ω (got %g)", m.RatedImpedanceOhm)
	}
	return nil
}
