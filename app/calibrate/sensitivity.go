package calibrate

import (
	"math"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"stillroom/app/rig"
	"stillroom/dsp/level"
)

const (
	// sheetUncertaintyDB is that of a sensitivity from a sheet with a gain from a dial
	// (common practice: ±1.5 dB, taken as even).
	sheetUncertaintyDB = 0.9
	// curveUncertaintyDB is that of a microphone's curve (common practice).
	curveUncertaintyDB = 0.3
	sheetHz            = 1000 // where sensitivities are stated (common practice)
)

// Sensitivity calibrates an input from a microphone's sheet. Nothing is played or
// heard. Figures that no microphone or preamplifier has are refused.
func (b Bench) Sensitivity(channel int, s rig.Sensitivity) (InputResult, error) {
	result := InputResult{ChangeDB: math.NaN()}
	full := level.PascalAtFS(s.MilliVoltsPerPa, s.GainDB, s.VoltsAtFS)
	switch {
	case !(s.MilliVoltsPerPa >= 0.05 && s.MilliVoltsPerPa <= 1000):
		return result, refuse("a microphone has 0.05 to 1000 mV/Pa (got %g): look at its sheet; −40 dB re 1 V/Pa is 10 mV/Pa", s.MilliVoltsPerPa)
	case !(s.GainDB >= -60 && s.GainDB <= 90):
		return result, refuse("a preamplifier has a gain of −60 to 90 dB (got %g dB)", s.GainDB)
	case !(s.VoltsAtFS >= 0.01 && s.VoltsAtFS <= 100):
		return result, refuse("an input reaches full scale at 0.01 to 100 V (got %g V): look at its sheet, with the gain at 0 dB; +4 dBu is 1.23 V", s.VoltsAtFS)
	case level.SPL(full) < 60 || level.SPL(full) > 200:
		return result, refuse("full scale would be %.0f dB SPL, which no such chain has: check sensitivity, gain and full scale", level.SPL(full))
	}
	result.Level = rig.InputLevel{Stamp: b.stamp(), Device: b.Rig.InputDevice, Channel: channel, Method: rig.BySensitivity,
		PascalAtFS: full, FrequencyHz: sheetHz, UncertaintyDB: sheetUncertaintyDB, Sensitivity: &s}
	b.compare(&result)
	return result, nil
}

// Microphone names a microphone whose curve was read.
type Microphone struct {
	Channel int // from 0
	Name    string
	Serial  string
	At      time.Time // of its calibration, as its sheet says; zero: now
}

// Curve puts a microphone's curve for one angle on a channel and takes it into use.
// Angles of the same microphone add up; another microphone takes the place of the
// one before. file is the path that the curve was read from.
func (b Bench) Curve(m Microphone, angleDeg float64, file string, c rig.Curve) (rig.Rig, error) {
	if !(math.Abs(angleDeg) <= 180) {
		return rig.Rig{}, refuse("an angle is within −180° to 180° (got %g°)", angleDeg)
	}
	if len(c.FrequencyHz) < 2 {
		return rig.Rig{}, refuse("the curve is empty")
	}
	stamp := b.stamp()
	if !m.At.IsZero() {
		stamp.At = m.At.UTC()
	}
	if stamp.At.After(b.now().Add(24 * time.Hour)) {
		return rig.Rig{}, refuse("the microphone was calibrated on %s, which is in the future: check the date", stamp.At.Format("2 January 2006"))
	}
	out := rig.MicrophoneCurve{Stamp: stamp, Channel: m.Channel, Name: m.Name, Serial: m.Serial, UncertaintyDB: curveUncertaintyDB}
	for _, old := range b.Rig.Calibrations.Curves {
		if old.Channel == m.Channel && old.Name == m.Name && old.Serial == m.Serial {
			out.Angles = slices.DeleteFunc(slices.Clone(old.Angles), func(a rig.CurveAngle) bool { return a.AngleDeg == angleDeg })
		}
	}
	out.Angles = append(out.Angles, rig.CurveAngle{AngleDeg: angleDeg, File: baseName(file), Curve: c})
	out.InUse = len(out.Angles) - 1
	return b.Rig.WithCurve(out), nil
}

// Angle takes another angle of the microphone on a channel into use.
func (b Bench) Angle(channel int, angleDeg float64) (rig.Rig, error) {
	for _, c := range b.Rig.Calibrations.Curves {
		i := slices.IndexFunc(c.Angles, func(a rig.CurveAngle) bool { return a.AngleDeg == angleDeg })
		if c.Channel == channel && i >= 0 {
			c.InUse = i
			return b.Rig.WithCurve(c), nil
		}
	}
	return rig.Rig{}, refuse("the microphone on input %d has no curve for %g°: read one first", channel+1, angleDeg)
}

// Fixture takes a fixture's own response into the rig, to be taken out of takes. It is
// refused where the kind of fixture has none.
func (b Bench) Fixture(name, file string, c rig.Curve) (rig.Rig, error) {
	if len(c.FrequencyHz) < 2 {
		return rig.Rig{}, refuse("the curve is empty")
	}
	if k := b.Rig.FixtureKind; !k.HasResponse() {
		return rig.Rig{}, refuse("%s", NoFixtureResponse(k))
	}
	return b.Rig.WithFixture(&rig.FixtureResponse{Stamp: b.stamp(), Name: name, File: baseName(file), Curve: c}), nil
}

// NoFixtureResponse says why a kind of fixture has no response of its own.
func NoFixtureResponse(k rig.FixtureKind) string {
	place := map[rig.FixtureKind]string{rig.OpenBench: "an open bench", rig.Room: "a room"}[k]
	return place + " has no response of its own that one file could tell: what it does changes with every place in it, and the gate takes it away. A damped box, a chamber, a flat plate or an ear coupler has one"
}

// baseName drops the folder, which means nothing elsewhere.
func baseName(path string) string {
	if path == "" {
		return ""
	}
	return filepath.Base(strings.ReplaceAll(path, `\`, "/"))
}
