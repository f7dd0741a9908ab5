package drawing

import (
	"math"

	"stillroom/app/board/curves"
	"stillroom/app/chart"
)

// magnitude shows levels, the group and the target.
func (d *sheet) magnitude() chart.Chart {
	c := chart.Chart{Title: "Magnitude", Subtitle: join(d.set.Unit, d.smoothing(), d.aligned()),
		X: d.frequencyAxis(), Y: chart.Axis{Label: "dB", Min: -40, Max: 10, Step: 10}}
	for _, t := range d.seen {
		d.add(&c, t, d.set.FrequencyHz, d.trusted(t, t.MagnitudeDB), "")
	}
	c = levelAxis(c)
	c.Shades = d.shades(c.X)
	c.Marks = joints(d.seen)
	d.explain(&c)
	c.Traces = append(append(d.behind(), d.target()...), c.Traces...)
	return c
}

func (d *sheet) aligned() string {
	if b := d.set.Board; b.Align.On && len(d.seen) > 1 {
		return "aligned at " + b.Align.Band.String()
	}
	return ""
}

// joints point at the blend of curves that were joined.
func joints(seen []*curves.Trace) []chart.Mark {
	var out []chart.Mark
	for _, t := range seen {
		for _, p := range t.Parts {
			if p.From == "blend" {
				out = append(out, chart.Mark{X: math.Sqrt(p.FromHz * p.ToHz), Text: "near field left, far field right"})
			}
		}
	}
	return out
}

// behind draws the bands and the mean of the group.
func (d *sheet) behind() []chart.Trace {
	how, g := d.set.Board.Group, d.set.GroupOf()
	if g == nil || !how.Any() {
		return nil
	}
	var out []chart.Trace
	f := d.set.FrequencyHz
	if how.Extremes {
		out = append(out, chart.Trace{Name: "lowest to highest", X: f, Y: g.HighDB, Low: g.LowDB, Color: chart.Orange})
	}
	if how.Deviation {
		up, low := make([]float64, len(f)), make([]float64, len(f))
		for i, m := range g.MeanDB {
			up[i], low[i] = m+g.DeviationDB[i], m-g.DeviationDB[i]
		}
		out = append(out, chart.Trace{Name: "± one standard deviation", X: f, Y: up, Low: low, Color: chart.Purple})
	}
	if how.Mean {
		out = append(out, chart.Trace{Name: "mean of the group", X: f, Y: g.MeanDB, Color: chart.Ink, Width: 2.4})
	}
	return out
}

// target draws the target and the band that its tolerance allows.
func (d *sheet) target() []chart.Trace {
	x := d.set.Target()
	if x == nil {
		return nil
	}
	f := d.set.FrequencyHz
	out := []chart.Trace{{Name: "target: " + d.set.Board.Target.Name, X: f, Y: x.LevelDB, Color: chart.Ink, Dash: 2}}
	if d.set.Board.Target.LowDB != nil {
		out = append([]chart.Trace{{Name: "tolerance", X: f, Y: x.HighDB, Low: x.LowDB, Color: chart.Green}}, out...)
	}
	return out
}

// difference shows each trace less the reference, over the band in which the reference
// itself is certain.
func (d *sheet) difference() chart.Chart {
	c := chart.Chart{Title: "Difference", Subtitle: join("dB", d.aligned()), X: d.frequencyAxis(), Y: chart.Axis{Label: "dB", Min: -6, Max: 6, Step: 3}}
	ref := d.set.Ref()
	if ref == nil {
		c.Subtitle = "choose a reference trace"
		d.explain(&c)
		return c
	}
	c.Title = "Difference from " + ref.Name
	for _, t := range d.seen {
		if t != ref {
			d.add(&c, t, d.set.FrequencyHz, d.set.DifferenceDB(t), "")
		}
	}
	c.Shades = d.shades(c.X)
	c = around0(c)
	d.explain(&c)
	if len(c.Traces) > 0 {
		c.Traces = append(d.certain(ref), c.Traces...)
	}
	return c
}

// certain is the expanded uncertainty of the reference around 0.
func (d *sheet) certain(ref *curves.Trace) []chart.Trace {
	u, why, err := ref.UncertaintyDB(d.ctx)
	if d.err = err; err != nil || why != "" {
		return nil
	}
	u = ref.Within(d.set.FrequencyHz, u)
	return []chart.Trace{{Name: "uncertainty of the reference, k = 2", X: d.set.FrequencyHz, Y: u, Low: times(-1, u), Color: ref.Color}}
}

// Axes of level.
const (
	levelSpan = 40.0
	levelStep = 5.0
	levelAir  = 2.0
	widest    = 100.0
)

// levelAxis spans 40 dB below the highest level, more where a trace falls further
// inside its valid band.
func levelAxis(c chart.Chart) chart.Chart {
	lo, hi, ok := extent(c)
	if !ok {
		return c
	}
	top := math.Ceil((hi+levelAir)/levelStep) * levelStep
	span, step := levelSpan, levelStep
	if top-lo > levelSpan {
		step = 10
		top = math.Ceil((hi+levelAir)/step) * step
		span = math.Min(widest, math.Ceil((top-lo)/step)*step)
	}
	c.Y = chart.Axis{Label: "dB", Min: top - span, Max: top, Step: step}
	return c
}

// around0 spans ±6 dB, or ±12 or ±24 where the curves go further.
func around0(c chart.Chart) chart.Chart {
	lo, hi, ok := extent(c)
	c.Y = chart.Axis{Label: "dB", Min: -6, Max: 6, Step: 3}
	for most := math.Max(-lo, hi); ok && c.Y.Max < most && c.Y.Max < 24; {
		c.Y.Min, c.Y.Max, c.Y.Step = 2*c.Y.Min, 2*c.Y.Max, 2*c.Y.Step
	}
	return c
}

// extent is the range of what is shown inside the horizontal axis: the highest point,
// and the level that 2 % of the points lie below, so that a notch does not stretch the
// axis.
func extent(c chart.Chart) (lo, hi float64, ok bool) {
	v := shown(c)
	if len(v) == 0 {
		return 0, 0, false
	}
	return v[len(v)/50], v[len(v)-1], true
}
