package rig

import (
	"math"
	"slices"
	"time"
)

// Calibrations are what is known of a rig's way from digits to volts and pascals.
// Each is nil or absent where it was not done.
type Calibrations struct {
	Output     *OutputLevel        `json:",omitzero"`
	Inputs     []InputLevel        `json:",omitzero"` // one a channel
	Curves     []MicrophoneCurve   `json:",omitzero"` // one a channel
	Interfaces []InterfaceResponse `json:",omitzero"` // one an input channel
	Fixture    *FixtureResponse    `json:",omitzero"`
}

// Stamp says when a calibration was made and who made it.
type Stamp struct {
	At     time.Time // UTC
	Person string
}

// StampOf is the stamp of a calibration made now.
func StampOf(now time.Time, person string) Stamp { return Stamp{now.UTC().Round(0), person} }

// AgeDays is the age at a given time, in days of 24 hours.
func (s Stamp) AgeDays(now time.Time) float64 { return now.Sub(s.At).Hours() / 24 }

// Ages in days after which a calibration is old (common practice; the level of a
// measuring chain is checked far more often than its microphone is sent away).
const (
	OldOutputDays    = 180
	OldInputDays     = 30
	OldCurveDays     = 365
	OldInterfaceDays = 90
)

// OutputLevel says what voltage full scale is at the rig's output.
type OutputLevel struct {
	Stamp
	Device        string  // audio.Device.ID and channel for which it holds
	Channel       int     // from 0
	VoltsAtFS     float64 // rms of a sine of 0 dBFS
	FrequencyHz   float64 // of the tone
	LevelDBFS     float64 // at which it was played
	ReadingVolts  float64 // what the voltmeter said, rms
	UncertaintyDB float64 // standard uncertainty (JCGM 100), k = 1
}

// Old tells whether it should be made again.
func (c OutputLevel) Old(now time.Time) bool { return c.AgeDays(now) > OldOutputDays }

// Method is how an input level was found.
type Method string

// The methods of an input level.
const (
	ByCalibrator  Method = "calibrator"
	BySensitivity Method = "sensitivity"
)

// InputLevel says what sound pressure full scale is at one input.
type InputLevel struct {
	Stamp
	Device        string // audio.Device.ID and channel for which it holds
	Channel       int    // from 0
	Method        Method
	PascalAtFS    float64      // rms of a sine of 0 dBFS, at FrequencyHz
	FrequencyHz   float64      // of the calibrator, as measured; 1 kHz for a sensitivity
	UncertaintyDB float64      // standard uncertainty (JCGM 100), k = 1
	Calibrator    *Calibrator  `json:",omitzero"` // where the method is ByCalibrator
	Sensitivity   *Sensitivity `json:",omitzero"` // where the method is BySensitivity
}

// Calibrator is what was heard of an acoustic calibrator.
type Calibrator struct {
	LevelDB           float64 // what it makes, dB re 20 µPa
	NominalHz         float64 // 250 or 1000
	MeasuredFS        float64 // dBFS of its tone
	SpreadDB          float64 // standard deviation of the level over time
	RangeDB           float64 // highest less lowest
	DistortionPercent float64 // THD, re the fundamental
	SNRDB             float64 // tone over all that is neither it nor a harmonic
}

// Sensitivity is what was read from a microphone's sheet and a preamplifier's dial.
type Sensitivity struct {
	MilliVoltsPerPa float64
	GainDB          float64 // between microphone and converter
	VoltsAtFS       float64 // rms at the converter's input that gives 0 dBFS
}

// Old tells whether it should be made again.
func (c InputLevel) Old(now time.Time) bool { return c.AgeDays(now) > OldInputDays }

// MicrophoneCurve is the response of the microphone on one channel.
type MicrophoneCurve struct {
	Stamp         // of the calibration of the microphone, where that is known
	Channel       int
	Name          string
	Serial        string
	Angles        []CurveAngle
	InUse         int     // index into Angles
	UncertaintyDB float64 // standard uncertainty (JCGM 100), k = 1
}

// CurveAngle is the curve for sound from one direction.
type CurveAngle struct {
	AngleDeg float64 // from the axis; 0: on axis
	File     string  // base name of what was read
	Curve    Curve
}

// Old tells whether the microphone should be calibrated again.
func (c MicrophoneCurve) Old(now time.Time) bool { return c.AgeDays(now) > OldCurveDays }

// Current returns the curve of the angle in use. ok is false where there is none.
func (c MicrophoneCurve) Current() (a CurveAngle, ok bool) {
	if c.InUse < 0 || c.InUse >= len(c.Angles) {
		return CurveAngle{}, false
	}
	return c.Angles[c.InUse], true
}

// InterfaceResponse is the response of the interface from output to one input,
// measured over a wire, at one sample rate.
type InterfaceResponse struct {
	Stamp
	OutputDevice  string
	InputDevice   string
	OutputChannel int // from 0
	Channel       int // of the input, from 0
	RateHz        float64
	LevelDBFS     float64 // at which it was measured
	SNRDB         float64 // worst octave
	Curve         Curve   // dB re the stimulus; phase with the delay taken out
}

// Old tells whether it should be made again.
func (c InterfaceResponse) Old(now time.Time) bool { return c.AgeDays(now) > OldInterfaceDays }

// ReferenceHz is the frequency at which a curve of the interface counts as 0 dB:
// what it is there belongs to the levels.
const ReferenceHz = 1000

// FixtureResponse is a fixture's own response, taken out of every take.
type FixtureResponse struct {
	Stamp
	Name  string
	File  string // base name of what was read
	Curve Curve
}

// WithOutput returns the rig with another output level.
func (r Rig) WithOutput(c OutputLevel) Rig {
	r.Calibrations.Output = &c
	return r
}

// WithInput returns the rig with this level for its channel.
func (r Rig) WithInput(c InputLevel) Rig {
	r.Calibrations.Inputs = with(r.Calibrations.Inputs, c, func(x InputLevel) int { return x.Channel })
	return r
}

// WithCurve returns the rig with this microphone on its channel.
func (r Rig) WithCurve(c MicrophoneCurve) Rig {
	r.Calibrations.Curves = with(r.Calibrations.Curves, c, func(x MicrophoneCurve) int { return x.Channel })
	return r
}

// WithInterface returns the rig with this response for its input channel.
func (r Rig) WithInterface(c InterfaceResponse) Rig {
	r.Calibrations.Interfaces = with(r.Calibrations.Interfaces, c, func(x InterfaceResponse) int { return x.Channel })
	return r
}

// WithFixture returns the rig with another fixture response; nil takes it away.
func (r Rig) WithFixture(c *FixtureResponse) Rig {
	r.Calibrations.Fixture = c
	return r
}

// with puts an item in the place of the one with its channel, by channel.
func with[T any](items []T, item T, channel func(T) int) []T {
	out := slices.DeleteFunc(slices.Clone(items), func(x T) bool { return channel(x) == channel(item) })
	out = append(out, item)
	slices.SortStableFunc(out, func(a, b T) int { return channel(a) - channel(b) })
	return out
}

// find returns the item of a channel.
func find[T any](items []T, channel int, of func(T) int) (T, bool) {
	for _, item := range items {
		if of(item) == channel {
			return item, true
		}
	}
	var none T
	return none, false
}

// known tells whether a stored figure is one to work with.
func known(v float64) bool { return v > 0 && !math.IsInf(v, 0) }
