package drawing

import (
	"fmt"
	"math"

	"stillroom/app/board"
	"stillroom/app/board/curves"
	"stillroom/app/chart"
)

// harmonic shows one order, or the total of all.
func (d *sheet) harmonic(v board.View) chart.Chart {
	how := d.set.Board.Distortion
	c := chart.Chart{Title: orderTitle(v.Order()), Subtitle: distortionUnit(how, v.Order()), X: d.frequencyAxis(), Y: chart.Axis{Label: "dB", Min: -90, Max: -30, Step: 20}}
	for _, t := range d.seen {
		var o curves.Orders
		var why string
		var err error
		if n := v.Order(); n > 0 {
			o, why, err = t.Harmonic(d.ctx, n, how)
		} else {
			o, why, err = t.THD(d.ctx, how)
		}
		if err != nil {
			d.err = err
			return c
		}
		d.add(&c, t, o.FrequencyHz, o.Value, why)
	}
	c = distortionAxis(c, how)
	d.explain(&c)
	return c
}

func orderTitle(n int) string {
	switch n {
	case 0:
		return "Total harmonic distortion"
	case 2:
		return "Second harmonic"
	case 3:
		return "Third harmonic"
	}
	return fmt.Sprintf("%dth harmonic", n)
}

func distortionUnit(how board.Distortion, order int) string {
	unit, re, at := "dB", "re fundamental", ""
	if how.Percent {
		unit = "%"
	}
	if how.ReTotal {
		re = "re total"
	}
	if how.AtHarmonic && order > 0 {
		at = "over the frequency of the harmonic"
	}
	return join(unit+" "+re, at)
}

// distortionAxis spans 60 dB in steps of 20, or from 0 to a round number of percent.
func distortionAxis(c chart.Chart, how board.Distortion) chart.Chart {
	v := shown(c)
	if how.Percent {
		c.Y = chart.Axis{Label: "%", Min: 0, Max: 1, Step: 0.2}
		if len(v) > 0 {
			step := chart.NiceStep(math.Max(v[len(v)-1], 0.1) / 5)
			c.Y.Max, c.Y.Step = math.Ceil(v[len(v)-1]/step)*step, step
		}
		return c
	}
	top := -20.0
	if len(v) > 0 {
		top = math.Min(math.Max(math.Ceil((v[len(v)-1]+2)/10)*10, -50), 20)
	}
	c.Y = chart.Axis{Label: "dB", Min: top - 60, Max: top, Step: 20}
	return c
}

func (d *sheet) inputDistortion() chart.Chart { return chart.Chart{} }
func (d *sheet) compression() chart.Chart     { return chart.Chart{} }
