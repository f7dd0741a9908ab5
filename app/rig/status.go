package rig

import (
	"fmt"
	"math"
	"time"
)

// State is how a calibration stands.
type State string

// The states of a calibration.
const (
	Done    State = "done"
	Old     State = "old"     // to be made again
	Foreign State = "foreign" // made on another device, channel or rate: not used
	Missing State = "missing"
)

// Line is one calibration of a rig as a person is told of it.
type Line struct {
	What    string // "output", "input", "curve", "interface" or "fixture"
	Channel int    // from 0
	State   State
	AgeDays float64 // NaN where there is none
	Text    string  // short: "Mic calibrated 12 days ago"
}

// Status tells how the calibrations of a rig stand: output, then each microphone's
// level, curve and interface, then the fixture where it has a response.
func (r Rig) Status(now time.Time) []Line {
	lines := []Line{r.outputLine(now)}
	for _, m := range r.Microphones() {
		lines = append(lines, r.inputLine(m, now), r.curveLine(m, now), r.interfaceLine(m, now))
	}
	if f := r.Calibrations.Fixture; f != nil {
		lines = append(lines, r.fixtureLine(*f, now))
	}
	return lines
}

func (r Rig) fixtureLine(f FixtureResponse, now time.Time) Line {
	l := Line{"fixture", 0, Done, f.AgeDays(now), "Fixture response of " + f.Name + " is taken out"}
	if !r.FixtureKind.HasResponse() {
		l.State, l.Text = Foreign, fmt.Sprintf("Fixture response of %s is not used: the fixture is of the kind %s, which has none", f.Name, r.FixtureKind)
	}
	return l
}

// OldLines returns those of Status that are old.
func (r Rig) OldLines(now time.Time) []Line {
	var old []Line
	for _, l := range r.Status(now) {
		if l.State == Old {
			old = append(old, l)
		}
	}
	return old
}

func (r Rig) outputLine(now time.Time) Line {
	c := r.Calibrations.Output
	if c == nil {
		return Line{"output", r.OutputChannel, Missing, math.NaN(), "Output not calibrated"}
	}
	_, holds := r.output()
	return line("output", r.OutputChannel, "Output", c.Stamp, holds, c.Old(now), now)
}

func (r Rig) inputLine(m Microphone, now time.Time) Line {
	name := r.nameOf(m)
	c, ok := find(r.Calibrations.Inputs, m.Channel, func(x InputLevel) int { return x.Channel })
	if !ok {
		return Line{"input", m.Channel, Missing, math.NaN(), name + " not calibrated"}
	}
	_, holds := r.input(m.Channel)
	return line("input", m.Channel, name, c.Stamp, holds, c.Old(now), now)
}

func (r Rig) curveLine(m Microphone, now time.Time) Line {
	name := r.nameOf(m)
	c, ok := find(r.Calibrations.Curves, m.Channel, func(x MicrophoneCurve) int { return x.Channel })
	a, chosen := c.Current()
	if !ok || !chosen {
		return Line{"curve", m.Channel, Missing, math.NaN(), name + " has no curve"}
	}
	l := line("curve", m.Channel, name+" curve", c.Stamp, true, c.Old(now), now)
	l.Text = fmt.Sprintf("%s, %g° in use", l.Text, a.AngleDeg)
	return l
}

func (r Rig) interfaceLine(m Microphone, now time.Time) Line {
	c, ok := find(r.Calibrations.Interfaces, m.Channel, func(x InterfaceResponse) int { return x.Channel })
	if !ok {
		return Line{"interface", m.Channel, Missing, math.NaN(), fmt.Sprintf("Interface not measured on input %d", m.Channel+1)}
	}
	_, holds := r.interfaceOf(m.Channel)
	l := line("interface", m.Channel, fmt.Sprintf("Interface on input %d", m.Channel+1), c.Stamp, holds, c.Old(now), now)
	if l.State == Foreign && c.RateHz != r.RateHz {
		l.Text = fmt.Sprintf("Interface on input %d was measured at %g Hz: measure it at %g Hz", m.Channel+1, c.RateHz, r.RateHz)
	}
	return l
}

// nameOf is "Mic", or the name of one among several.
func (r Rig) nameOf(m Microphone) string {
	switch {
	case m.Name != "":
		return "Mic " + m.Name
	case len(r.MoreMicrophones) > 0:
		return fmt.Sprintf("Mic on input %d", m.Channel+1)
	}
	return "Mic"
}

func line(what string, channel int, name string, s Stamp, holds, old bool, now time.Time) Line {
	l := Line{what, channel, Done, s.AgeDays(now), name + " calibrated " + Ago(s.AgeDays(now))}
	switch {
	case !holds:
		l.State, l.Text = Foreign, name+" was calibrated on another device or channel: calibrate again"
	case old:
		l.State = Old
		l.Text += ": calibrate again"
	}
	return l
}

// Ago is an age in plain words: "today", "yesterday", "12 days ago". An age below 0,
// from a clock that was wrong, is told as such.
func Ago(days float64) string {
	switch {
	case days < -1.0/24:
		return "in the future: check the clock"
	case days < 1:
		return "today"
	case days < 2:
		return "yesterday"
	}
	return fmt.Sprintf("%.0f days ago", math.Floor(days))
}
