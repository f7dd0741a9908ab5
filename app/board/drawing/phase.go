package drawing

import (
	"math"

	"stillroom/app/board"
	"stillroom/app/board/curves"
	"stillroom/app/chart"
)

func isPhase(v board.View) bool {
	switch v {
	case board.PhaseView, board.UnwrappedView, board.MinusDelayView, board.MinimumPhaseView, board.ExcessPhaseView:
		return true
	}
	return false
}

// phase shows one of the phases.
func (d *sheet) phase(v board.View) chart.Chart {
	c := chart.Chart{Title: "Phase", X: d.frequencyAxis(), Y: chart.Axis{Min: -180, Max: 180, Step: 90, Unit: "°"}}
	read := (*curves.Trace).PhaseDeg
	wrap := 360.0
	switch v {
	case board.UnwrappedView:
		c.Subtitle, read, wrap = "without jumps", (*curves.Trace).UnwrappedDeg, 0
	case board.MinusDelayView:
		c.Subtitle, read = "from the arrival on", (*curves.Trace).MinusDelayDeg
	case board.MinimumPhaseView:
		c.Title, c.Subtitle, read = "Minimum phase", "of the magnitude alone", (*curves.Trace).MinimumDeg
	case board.ExcessPhaseView:
		c.Title, c.Subtitle, read = "Excess phase", "beyond the minimum phase and the delay", (*curves.Trace).ExcessDeg
	}
	for _, t := range d.seen {
		deg, why := read(t)
		if why == "" {
			deg = d.trusted(t, deg)
		}
		d.add(&c, t, d.set.FrequencyHz, deg, why)
	}
	for i := range c.Traces {
		c.Traces[i].Wrap = wrap
	}
	c.Shades = d.shades(c.X)
	if wrap == 0 {
		c = turns(c)
	}
	d.explain(&c)
	return c
}

// turns fits a phase without jumps in steps of half or whole turns.
func turns(c chart.Chart) chart.Chart {
	c = central(c, 360)
	step := 90.0
	for (c.Y.Max-c.Y.Min)/step > 6 {
		step *= 2
	}
	c.Y.Min, c.Y.Max, c.Y.Step = math.Floor(c.Y.Min/step)*step, math.Ceil(c.Y.Max/step)*step, step
	return c
}

// groupDelay shows delay over frequency, in ms.
func (d *sheet) groupDelay(v board.View) chart.Chart {
	c := chart.Chart{Title: "Group delay", X: d.frequencyAxis(), Y: chart.Axis{Label: "ms", Min: -1, Max: 5, Step: 1}}
	read := (*curves.Trace).GroupDelayS
	if v == board.ExcessGroupDelayView {
		c.Title, c.Subtitle, read = "Excess group delay", "beyond that of the minimum phase and the delay", (*curves.Trace).ExcessGroupDelayS
	}
	for _, t := range d.seen {
		s, why := read(t)
		if why == "" {
			s = times(1000, d.trusted(t, s))
		}
		d.add(&c, t, d.set.FrequencyHz, s, why)
	}
	c.Shades = d.shades(c.X)
	c = central(c, 1)
	d.explain(&c)
	return c
}
