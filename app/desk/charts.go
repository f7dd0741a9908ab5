package desk

import (
	"fmt"
	"math"

	"stillroom/app/chart"
	"stillroom/app/take"
)

// A curve keeps its colour everywhere.
const (
	magnitudeColor = chart.Blue
	phaseColor     = chart.Purple
)

const (
	lowestShownHz  = 20.0
	highestShownHz = 20000.0
	impulseFromMS  = -3.0
	impulseToMS    = 14.0
	shownOrders    = 5 // harmonics drawn: 2nd to 5th; the readings tell the rest
)

// NotCalibrated is the line that stands wherever a level is shown before the rig
// has been calibrated.
const NotCalibrated = "not calibrated: dBFS out per dBFS in"

// TakeCharts describes the three charts of a take. With a nil they are empty
// sheets of the same size.
func TakeCharts(a *take.Analysis) (impulse, response, distortion chart.Chart) {
	return ImpulseChart(a), ResponseChart(a), DistortionChart(a)
}

// ImpulseChart describes the impulse response, its peak drawn as 1.
func ImpulseChart(a *take.Analysis) chart.Chart {
	c := chart.Chart{
		Title:    "Impulse response",
		Subtitle: "drag the two handles to set the gate",
		X:        chart.Axis{Label: "ms", Min: impulseFromMS, Max: impulseToMS, Step: 2},
		Y:        chart.Axis{Min: -1.15, Max: 1.15, Step: 1},
	}
	if a == nil {
		c.Subtitle = ""
		return c
	}
	c.X = impulseAxis(a)
	x, y := scaled(a.Impulse, c.X.Min, c.X.Max)
	c.Traces = []chart.Trace{{Name: "impulse response", X: x, Y: y, Color: chart.Ink}}
	if r := a.Reflection; r != nil {
		c.Marks = []chart.Mark{{X: r.DelayS * 1000, Text: fmt.Sprintf("first reflection, %s m longer path", number(r.PathM, 2))}}
	}
	return c
}

// impulseAxis shows from 2 ms before the arrival to 14 ms after it, and further
// where the gate closes later.
func impulseAxis(a *take.Analysis) chart.Axis {
	g := a.Settings.Gate
	from, to, step := impulseFromMS, impulseToMS, 2.0
	if open := g.OpenS * 1000; open < from*0.9 {
		from = math.Floor(open * 1.2)
	}
	if end := g.CloseS * 1000; end > to*0.95 {
		step = chart.NiceStep(math.Max(end/7, 2))
		to = math.Ceil(end*1.08/step) * step
	}
	return chart.Axis{Label: "ms", Min: from, Max: to, Step: step}
}

// scaled takes the part of an impulse between two times in ms, its highest
// magnitude drawn as 1.
func scaled(p take.Impulse, from, to float64) (x, y []float64) {
	peak := 0.0
	for _, v := range p.Value {
		peak = math.Max(peak, math.Abs(v))
	}
	if peak == 0 {
		peak = 1
	}
	for i, t := range p.TimeS {
		if ms := t * 1000; ms >= from && ms <= to {
			x, y = append(x, ms), append(y, p.Value[i]/peak)
		}
	}
	return x, y
}

// ResponseChart describes magnitude and phase over frequency.
func ResponseChart(a *take.Analysis) chart.Chart {
	c := chart.Chart{
		Title: "Response",
		X:     frequencyAxis(),
		Y:     chart.Axis{Label: "dB", Min: -40, Max: 10, Step: 10},
		Y2:    &chart.Axis{Min: -180, Max: 180, Step: 90, Unit: "°"},
	}
	if a == nil {
		return c
	}
	r := a.Response
	c.Subtitle = unitLine(a) + "  ·  " + smoothing(a.Settings.Smoothing) + "  ·  " + TimeZeroLine(a)
	c.Traces = magnitudes(a)
	c.Y = levelAxis(seen(c.Traces), 40)
	c.Traces = append(c.Traces, chart.Trace{Name: "phase", X: r.FrequencyHz, Y: r.PhaseDeg, Color: phaseColor, Dash: 1, Right: true, Wrap: 360})
	c.Shades = responseShades(a)
	return c
}

// reStimulus begins the unit of an analysis that no calibration is known for.
const reStimulus = "dB re the stimulus"

// unitLine says what levels are re: "dB SPL for 2.83 V at 1 m", or that they are not
// calibrated.
func unitLine(a *take.Analysis) string {
	if a.Unit == "" || a.Unit == reStimulus {
		return NotCalibrated
	}
	return a.Unit
}

// magnitudes are the curves of level: one microphone's, or those of several, thin,
// and their average.
func magnitudes(a *take.Analysis) []chart.Trace {
	r := a.Response
	if len(a.Microphones) < 2 {
		return []chart.Trace{{Name: "magnitude", X: r.FrequencyHz, Y: r.MagnitudeDB, Color: magnitudeColor, Width: 2}}
	}
	var list []chart.Trace
	for i, m := range a.Microphones {
		color, dash := chart.Series(i + 1)
		list = append(list, chart.Trace{Name: m.Name, X: m.Response.FrequencyHz, Y: m.Response.MagnitudeDB, Color: color, Dash: dash, Width: 1.1})
	}
	if m := a.Average; m != nil {
		list = append(list, chart.Trace{Name: "average", X: m.FrequencyHz, Y: m.MagnitudeDB, Color: magnitudeColor, Width: 2.4})
	}
	return list
}

// seen are the levels of traces at the frequencies that are shown.
func seen(traces []chart.Trace) []float64 {
	var all []float64
	for _, t := range traces {
		for i, f := range t.X {
			if f >= lowestShownHz && f <= highestShownHz {
				all = append(all, t.Y[i])
			}
		}
	}
	return all
}

// TrustedResponseChart is ResponseChart with the band in which the magnitude lies:
// the expanded uncertainty with a coverage factor of 2 (JCGM 100:2008).
func TrustedResponseChart(a *take.Analysis) chart.Chart {
	c := ResponseChart(a)
	if a == nil || len(a.Response.UncertaintyDB) != len(a.Response.MagnitudeDB) {
		return c
	}
	r := a.Response
	up, low := make([]float64, len(r.MagnitudeDB)), make([]float64, len(r.MagnitudeDB))
	for i, m := range r.MagnitudeDB {
		up[i], low[i] = m+r.UncertaintyDB[i], m-r.UncertaintyDB[i]
	}
	c.Traces = append(c.Traces, chart.Trace{Name: "where it lies, k = 2", X: r.FrequencyHz, Y: up, Low: low, Color: magnitudeColor})
	return c
}

func frequencyAxis() chart.Axis {
	return chart.Axis{Label: "Hz", Min: lowestShownHz, Max: highestShownHz, Log: true}
}

// responseShades mark what is not valid: below one over the length of the gate,
// and outside the band that was played.
func responseShades(a *take.Analysis) []chart.Shade {
	r, e := a.Response, a.Excitation
	var shades []chart.Shade
	if r.ValidFromHz > lowestShownHz*1.001 {
		why := fmt.Sprintf("below %s the gate is too short", hertz(r.ValidFromHz))
		if e.StartHz > 0 && r.ValidFromHz <= e.StartHz*1.001 {
			why = fmt.Sprintf("below %s nothing was played", hertz(r.ValidFromHz))
		}
		shades = append(shades, chart.Shade{From: lowestShownHz, To: r.ValidFromHz, Why: why})
	}
	if r.ValidToHz > 0 && r.ValidToHz < highestShownHz*0.999 {
		why := fmt.Sprintf("above %s nothing was played", hertz(r.ValidToHz))
		shades = append(shades, chart.Shade{From: r.ValidToHz, To: highestShownHz, Why: why})
	}
	return shades
}

// DistortionChart describes the harmonics and the noise floor under them.
func DistortionChart(a *take.Analysis) chart.Chart {
	c := chart.Chart{
		Title: "Harmonic distortion",
		X:     frequencyAxis(),
		Y:     chart.Axis{Label: "dB", Min: -90, Max: -10, Step: 20},
	}
	if a == nil {
		return c
	}
	if len(a.Harmonics) == 0 {
		c.Subtitle = "not known from this stimulus: harmonics need a log sweep"
		return c
	}
	c.Subtitle = "dB re fundamental"
	var levels []float64
	if floor := a.Harmonics[0]; len(floor.FloorDB) == len(floor.FrequencyHz) {
		c.Traces = append(c.Traces, chart.Trace{Name: "noise floor", X: floor.FrequencyHz, Y: floor.FloorDB, Color: magnitudeColor, Fill: true})
	}
	for _, h := range a.Harmonics {
		if h.Order > shownOrders {
			continue
		}
		y := within(h)
		levels = append(levels, y...)
		c.Traces = append(c.Traces, harmonicTrace(h, y))
	}
	c.Y = distortionAxis(levels)
	return c
}

// harmonicTrace gives each order its colour and its dash: 2nd vermilion, 3rd
// blue, 4th green, 5th purple.
func harmonicTrace(h take.Harmonic, y []float64) chart.Trace {
	colors := map[int]int{2: chart.Vermilion, 3: chart.Blue, 4: chart.Green, 5: chart.Purple}
	return chart.Trace{Name: ordinal(h.Order), X: h.FrequencyHz, Y: y, Color: colors[h.Order], Dash: h.Order - 2}
}

// within is the level of h, NaN outside the range where it is measurable.
func within(h take.Harmonic) []float64 {
	y := make([]float64, len(h.FrequencyHz))
	for i, f := range h.FrequencyHz {
		y[i] = levelAt(&h, f)
	}
	return y
}

// levelAxis spans so many dB, in steps of 10, with the highest level near its top.
func levelAxis(db []float64, span float64) chart.Axis {
	top := math.Ceil((highest(db, -20)+4)/10) * 10
	return chart.Axis{Label: "dB", Min: top - span, Max: top, Step: 10}
}

// distortionAxis spans 80 dB in steps of 20 from just above the highest level.
func distortionAxis(db []float64) chart.Axis {
	top := math.Ceil((highest(db, -20)+4)/10) * 10
	top = math.Min(math.Max(top, -40), 20)
	return chart.Axis{Label: "dB", Min: top - 80, Max: top, Step: 20}
}

func highest(v []float64, otherwise float64) float64 {
	top := math.Inf(-1)
	for _, x := range v {
		if x > top && !math.IsInf(x, 1) {
			top = x
		}
	}
	if math.IsInf(top, -1) {
		return otherwise
	}
	return top
}
