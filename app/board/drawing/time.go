package drawing

import (
	"fmt"
	"math"

	"stillroom/app/board"
	"stillroom/app/board/curves"
	"stillroom/app/chart"
	"stillroom/dsp/decay"
)

// overTime shows impulse, step or energy–time curve, from the arrival.
func (d *sheet) overTime(v board.View) chart.Chart {
	c := chart.Chart{X: chart.Axis{Label: "ms", Min: -2, Max: 14, Step: 2}, Y: chart.Axis{Min: -1.15, Max: 1.15, Step: 1}}
	read := (*curves.Trace).Impulse
	switch v {
	case board.ImpulseView:
		c.Title = "Impulse response"
	case board.StepView:
		c.Title, read = "Step response", (*curves.Trace).Step
	case board.EnergyTimeView:
		c.Title, c.Subtitle, read = "Energy over time", "dB re highest", (*curves.Trace).EnergyTime
		c.Y = chart.Axis{Label: "dB", Min: -60, Max: 5, Step: 10}
	}
	for _, t := range d.seen {
		curve, why := read(t)
		d.add(&c, t, times(1000, curve.TimeS), curve.Value, why)
		if n := len(curve.TimeS); n > 0 {
			c.X.Max = math.Max(c.X.Max, math.Ceil(1000*curve.TimeS[n-1]))
		}
	}
	c.X.Step = math.Max(2, chart.NiceStep((c.X.Max-c.X.Min)/9))
	c.Shades = d.beyondGate(c.X)
	if v != board.EnergyTimeView {
		c.Subtitle = join("highest peak drawn as 1", d.aligned())
		scale(c.Traces)
	}
	d.explain(&c)
	return c
}

// beyondGate marks what the gate leaves out, where all traces share one.
func (d *sheet) beyondGate(x chart.Axis) []chart.Shade {
	gate := math.NaN()
	for _, t := range d.seen {
		g := 1000 * t.GateS()
		if math.IsNaN(g) {
			continue
		}
		if !math.IsNaN(gate) && math.Abs(g/gate-1) > 0.01 {
			return nil
		}
		gate = g
	}
	if math.IsNaN(gate) || gate >= x.Max {
		return nil
	}
	return []chart.Shade{{From: gate, To: x.Max, Why: fmt.Sprintf("after %.3g ms the gate is closed", gate)}}
}

// scale draws the highest magnitude of all traces as 1.
func scale(traces []chart.Trace) {
	peak := 0.0
	for _, t := range traces {
		for _, y := range t.Y {
			peak = math.Max(peak, math.Abs(y))
		}
	}
	if peak > 0 {
		for i := range traces {
			traces[i].Y = times(1/peak, traces[i].Y)
		}
	}
}

// notResolved explains what stands clear in a map.
const notResolved = "clear where it cannot be told"

// levels shows a decay or a spectrogram of one trace, as a map or a surface.
func (d *sheet) levels(v board.View) chart.Chart {
	c := chart.Chart{Title: map[board.View]string{board.DecayView: "Cumulative decay", board.DecayPeriodsView: "Decay over periods", board.SpectrogramView: "Spectrogram"}[v],
		X: d.frequencyAxis(), Y: chart.Axis{Label: "ms", Min: 0, Max: 5, Step: 1}}
	t := d.mapped()
	if t == nil {
		d.explain(&c)
		return c
	}
	c.Title += ", " + t.Name
	how := d.set.Board.Decay
	var s decay.Surface
	var why string
	depth, low := -30.0, 0.0
	switch v {
	case board.SpectrogramView:
		s, why = t.Spectrogram(how)
		depth = -50
	case board.DecayView:
		s, why = t.Decay(how, false)
	case board.DecayPeriodsView:
		s, why = t.Decay(how, true)
		depth = -40
	}
	if why != "" {
		c.Subtitle = "not known: " + t.Name + ": " + why
		return c
	}
	c.Subtitle = "dB re highest level"
	grid := chart.Grid{X: s.FrequencyHz, Y: times(1000, s.TimesS), Level: s.LevelDB}
	if s.Periods != nil {
		grid.Y, c.Y.Label, c.Subtitle = s.Periods, "periods", "dB re highest at each frequency"
	}
	if n := len(grid.Y); n > 0 {
		low, c.Y.Max = math.Min(0, grid.Y[0]), grid.Y[n-1]
	}
	c.Y.Min, c.Y.Step = low, chart.NiceStep((c.Y.Max-low)/6)
	level := chart.Axis{Label: "dB", Min: depth, Max: 0, Step: 10}
	if how.Surface {
		c.Surface = &chart.Surface{Grid: grid, Depth: c.Y, Color: t.Color}
		c.Y = level
		return c
	}
	c.Subtitle = join(c.Subtitle, notResolved)
	c.Map = &chart.Map{Grid: grid, Scale: level, Smooth: true}
	return c
}

// mapped is the trace of which maps are shown: the chosen one, the reference, or the
// first that is seen.
func (d *sheet) mapped() *curves.Trace {
	for _, id := range []string{d.set.Board.MapOf, d.set.Board.Reference} {
		if i := d.set.Board.Index(id); i >= 0 && d.set.Traces[i].Problem == "" {
			return &d.set.Traces[i]
		}
	}
	if len(d.seen) > 0 {
		return d.seen[0]
	}
	return nil
}
