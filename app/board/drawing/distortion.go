package drawing

import (
	"fmt"
	"math"

	"stillroom/app/board"
	"stillroom/app/board/curves"
	"stillroom/app/chart"
)

// harmonic shows one order, the total of all, or their equivalent at the input.
func (d *sheet) harmonic(v board.View) chart.Chart {
	how := d.set.Board.Distortion
	title := orderTitle(v.Order())
	if v == board.EIDView {
		title = "Equivalent input distortion"
	}
	c := chart.Chart{Title: title, Subtitle: distortionUnit(how, v.Order()), X: d.frequencyAxis(), Y: chart.Axis{Label: "dB", Min: -90, Max: -30, Step: 20}}
	for _, t := range d.seen {
		var o curves.Orders
		var why string
		var err error
		switch n := v.Order(); {
		case n > 0:
			o, why, err = t.Harmonic(d.ctx, n, how)
		case v == board.EIDView:
			o, why, err = t.InputDistortion(d.ctx, how)
		default:
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

// compression shows how much less each trace gives than the reference promises.
func (d *sheet) compression() chart.Chart {
	c := chart.Chart{Title: "Compression", X: d.frequencyAxis(), Y: chart.Axis{Label: "dB", Min: -6, Max: 6, Step: 3}}
	ref := d.set.Ref()
	if ref == nil {
		c.Subtitle = "choose a reference trace, played at a low level"
		return c
	}
	c.Title = "Compression against " + ref.Name
	c.Subtitle = join("dB", d.smoothing())
	for _, t := range d.seen {
		if t != ref {
			db, why := t.Compression(ref)
			d.add(&c, t, d.set.FrequencyHz, db, why)
		}
	}
	c.Shades = d.shades(c.X)
	c = around0(c)
	d.explain(&c)
	return c
}
