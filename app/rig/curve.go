package rig

import (
	"math"
	"sort"
)

// Curve is a response over frequency as it came from a file or a measurement.
type Curve struct {
	FrequencyHz []float64 // rising
	MagnitudeDB []float64
	PhaseDeg    []float64 `json:",omitzero"` // nil: not known

	Sensitivity *StatedSensitivity `json:",omitzero"` // nil: none was stated clearly
	Remarks     []string           `json:",omitzero"` // comments, as they stood
}

// StatedSensitivity is a sensitivity that a curve's file states.
type StatedSensitivity struct {
	Value float64
	Unit  string // "mV/Pa", "dB re 1 V/Pa", "dBFS" (at 94 dB SPL, common practice) or "dB" (a factor)
}

// Covers tells whether the curve says something at a frequency.
func (c Curve) Covers(hz float64) bool {
	n := len(c.FrequencyHz)
	return n > 0 && hz >= c.FrequencyHz[0] && hz <= c.FrequencyHz[n-1]
}

// LevelDB is the magnitude at a frequency, linear in dB over log frequency between
// points; outside the curve its end is held. 0 for an empty curve.
func (c Curve) LevelDB(hz float64) float64 { return c.at(c.MagnitudeDB, hz) }

// PhaseAt is the phase at a frequency in degrees, likewise, not wrapped; NaN where
// the curve has none.
func (c Curve) PhaseAt(hz float64) float64 {
	if len(c.PhaseDeg) == 0 {
		return math.NaN()
	}
	i, u := c.place(hz)
	if u == 0 {
		return c.PhaseDeg[i]
	}
	turn := c.PhaseDeg[i+1] - c.PhaseDeg[i]
	return c.PhaseDeg[i] + u*(turn-360*math.Round(turn/360))
}

func (c Curve) phaseOrZero(hz float64) float64 {
	if len(c.PhaseDeg) == 0 {
		return 0
	}
	return c.PhaseAt(hz)
}

func (c Curve) at(values []float64, hz float64) float64 {
	if len(values) == 0 {
		return 0
	}
	i, u := c.place(hz)
	if u == 0 {
		return values[i]
	}
	return values[i] + u*(values[i+1]-values[i])
}

// place returns the point below a frequency and how far it is to the next one, on
// log frequency.
func (c Curve) place(hz float64) (i int, u float64) {
	last := len(c.FrequencyHz) - 1
	i = sort.SearchFloat64s(c.FrequencyHz, hz)
	switch {
	case i > last:
		return last, 0
	case i == 0 || c.FrequencyHz[i] == hz:
		return i, 0
	}
	a, b := c.FrequencyHz[i-1], c.FrequencyHz[i]
	return i - 1, math.Log(hz/a) / math.Log(b/a)
}

// less returns the curve lowered by so many dB.
func (c Curve) less(db float64) Curve {
	moved := make([]float64, len(c.MagnitudeDB))
	for i, v := range c.MagnitudeDB {
		moved[i] = v - db
	}
	c.MagnitudeDB = moved
	return c
}

// CurveOf makes a curve of a complex response at rising frequencies. Points that
// are not numbers are left out.
func CurveOf(frequencyHz []float64, magnitudeDB, phaseDeg []float64) Curve {
	var c Curve
	for i, hz := range frequencyHz {
		if finite(magnitudeDB[i]) && finite(phaseDeg[i]) {
			c.FrequencyHz = append(c.FrequencyHz, hz)
			c.MagnitudeDB = append(c.MagnitudeDB, magnitudeDB[i])
			c.PhaseDeg = append(c.PhaseDeg, phaseDeg[i])
		}
	}
	return c
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
