package rig

import (
	"math"
	"math/cmplx"

	"stillroom/dsp/level"
)

// Chain is what is known of one input channel of a rig as it stands: calibrations
// made on another device, channel or sample rate are left out of it.
type Chain struct {
	Channel int // from 0

	// PascalAtFS is the rms pressure of a sine that shows as 0 dBFS in a spectrum
	// that Correct was applied to; VoltsAtFS the rms voltage of a sine of 0 dBFS at
	// the output. NaN where it is not known.
	PascalAtFS float64
	VoltsAtFS  float64

	// LevelUncertaintyDB and CurveUncertaintyDB are the standard uncertainties
	// (k = 1) of PascalAtFS and of the microphone's curve; NaN where not known.
	LevelUncertaintyDB float64
	CurveUncertaintyDB float64

	Microphone *Curve // nil: none
	Interface  *Curve // 0 dB at 1 kHz; nil: none
	Fixture    *Curve

	input *InputLevel
}

// Chain returns what is known of an input channel, from 0.
func (r Rig) Chain(channel int) Chain {
	c := Chain{Channel: channel, VoltsAtFS: math.NaN(), LevelUncertaintyDB: math.NaN(), CurveUncertaintyDB: math.NaN()}
	if o, ok := r.output(); ok {
		c.VoltsAtFS = o.VoltsAtFS
	}
	if m, ok := find(r.Calibrations.Curves, channel, func(x MicrophoneCurve) int { return x.Channel }); ok {
		if a, ok := m.Current(); ok {
			c.Microphone, c.CurveUncertaintyDB = &a.Curve, m.UncertaintyDB
		}
	}
	if i, ok := r.interfaceOf(channel); ok {
		flat := i.Curve.less(i.Curve.LevelDB(ReferenceHz))
		c.Interface = &flat
	}
	if f := r.Calibrations.Fixture; f != nil && r.FixtureKind.HasResponse() {
		c.Fixture = &f.Curve
	}
	if l, ok := r.input(channel); ok {
		c.input, c.LevelUncertaintyDB = &l, l.UncertaintyDB
	}
	c.PascalAtFS = c.pascalAtFS()
	return c
}

// WithLoopback returns the chain of a take whose loopback channel already took the
// interface out: its response is not taken out again.
func (c Chain) WithLoopback() Chain {
	c.Interface = nil
	c.PascalAtFS = c.pascalAtFS()
	return c
}

// pascalAtFS refers the level calibration to a corrected spectrum. The calibrator's
// tone came through microphone and interface, so what they do at its frequency is
// in the calibrated figure already, and must not be taken out of it again. The
// fixture was not in its way.
func (c Chain) pascalAtFS() float64 {
	if c.input == nil {
		return math.NaN()
	}
	seen := 0.0
	for _, curve := range []*Curve{c.Microphone, c.Interface} {
		if curve != nil {
			seen += curve.LevelDB(c.input.FrequencyHz)
		}
	}
	return c.input.PascalAtFS * level.Ratio(seen)
}

// Correct returns the factors by which a measured spectrum is multiplied to take
// out the microphone (at the angle in use), the interface and the fixture, each
// exactly once: 1/(M·I·F). Outside a curve its end is held; phases that are not
// known are taken as 0.
func (c Chain) Correct(frequencyHz []float64) []complex128 {
	out := make([]complex128, len(frequencyHz))
	for i, hz := range frequencyHz {
		db, deg := 0.0, 0.0
		for _, curve := range []*Curve{c.Microphone, c.Interface, c.Fixture} {
			if curve != nil {
				db += curve.LevelDB(hz)
				deg += curve.phaseOrZero(hz)
			}
		}
		out[i] = cmplx.Rect(level.Ratio(-db), -deg*math.Pi/180)
	}
	return out
}

// Calibrated tells whether levels can be told in dB SPL.
func (c Chain) Calibrated() bool { return !math.IsNaN(c.PascalAtFS) }

// output returns the output level where it holds for the rig as it stands.
func (r Rig) output() (OutputLevel, bool) {
	o := r.Calibrations.Output
	if o == nil || o.Device != r.OutputDevice || o.Channel != r.OutputChannel || !known(o.VoltsAtFS) {
		return OutputLevel{}, false
	}
	return *o, true
}

// input returns the input level of a channel where it holds for the rig as it stands.
func (r Rig) input(channel int) (InputLevel, bool) {
	l, ok := find(r.Calibrations.Inputs, channel, func(x InputLevel) int { return x.Channel })
	return l, ok && l.Device == r.InputDevice && known(l.PascalAtFS)
}

// interfaceOf returns the interface's response at a channel where it holds for the
// rig as it stands.
func (r Rig) interfaceOf(channel int) (InterfaceResponse, bool) {
	i, ok := find(r.Calibrations.Interfaces, channel, func(x InterfaceResponse) int { return x.Channel })
	holds := ok && i.OutputDevice == r.OutputDevice && i.InputDevice == r.InputDevice &&
		i.OutputChannel == r.OutputChannel && i.RateHz == r.RateHz && len(i.Curve.FrequencyHz) > 0
	return i, holds
}

// HighestDBFS is the highest level this rig may play: its limit in dBFS, or what
// reaches its limit in volts where that is lower and the output is calibrated. held
// is false where there is a limit in volts that cannot be kept, since the output is
// not calibrated.
func (r Rig) HighestDBFS() (dbfs float64, held bool) {
	if r.MaxVolts <= 0 {
		return r.LimitDBFS, true
	}
	o, ok := r.output()
	if !ok {
		return r.LimitDBFS, false
	}
	return math.Min(r.LimitDBFS, level.DBFS(r.MaxVolts, o.VoltsAtFS)), true
}
