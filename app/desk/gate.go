package desk

import (
	"math"
	"strconv"

	"stillroom/app/take"
)

// Bounds of a gate that is set by hand, in ms: it opens before the arrival and
// stays open for a while after it.
const (
	latestOpenMS    = 0.0
	earliestCloseMS = 0.3
	closeTaperShare = 0.25 // of the time from the arrival to the close
)

// MoveGate asks for the take in hand to be analysed with the gate from openMS to
// closeMS, counted from the arrival; see SetGate. The opening taper reaches up to
// the arrival, the closing one over the last quarter.
func (d *Desk) MoveGate(openMS, closeMS float64) {
	d.SetGate(handGate(openMS, closeMS))
}

func handGate(openMS, closeMS float64) take.Gate {
	open := math.Min(openMS, latestOpenMS) / 1000
	shut := math.Max(closeMS, earliestCloseMS) / 1000
	return take.Gate{OpenS: open, CloseS: shut, OpenTaperS: -open, CloseTaperS: closeTaperShare * shut}
}

// AutoGate lets the program set the gate again.
func (d *Desk) AutoGate() { d.SetGate(take.Gate{Auto: true}) }

// GateMS is the gate of a in ms from the arrival.
func GateMS(a *take.Analysis) (open, shut float64) {
	if a == nil {
		return 0, 0
	}
	return a.Settings.Gate.OpenS * 1000, a.Settings.Gate.CloseS * 1000
}

// GateForm is the form of gate and smoothing, as text.
type GateForm struct{ OpensMS, ClosesMS, Smoothing string }

// GateForm is the form filled in with the present analysis.
func (s State) GateForm() GateForm {
	if s.Analysis == nil {
		return GateForm{}
	}
	open, shut := GateMS(s.Analysis)
	return GateForm{OpensMS: number(-open, 2), ClosesMS: number(shut, 2), Smoothing: strconv.Itoa(s.Analysis.Settings.Smoothing)}
}

// SetGateForm uses a form. Where a line cannot be used nothing is changed and the
// lines are returned.
func (d *Desk) SetGateForm(f GateForm) []Field {
	var r reader
	open := r.number("Opens", f.OpensMS, 0, 500, "ms")
	shut := r.number("Closes", f.ClosesMS, earliestCloseMS, 60000, "ms")
	smooth := r.number("Smoothing", f.Smoothing, 0, 96, "")
	if len(r.wrong) > 0 {
		return r.wrong
	}
	was := d.State().GateForm()
	d.SetSmoothing(int(smooth))
	if f.OpensMS != was.OpensMS || f.ClosesMS != was.ClosesMS {
		d.MoveGate(-open, shut)
	}
	return nil
}
