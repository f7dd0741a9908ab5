package drawing

import (
	"math"
	"slices"

	"stillroom/app/chart"
)

// shown are the finite values inside the horizontal axis, where nothing is shaded,
// rising.
func shown(c chart.Chart) []float64 {
	lo, hi := c.X.Limits()
	for _, s := range c.Shades {
		if s.From <= lo {
			lo = math.Max(lo, s.To)
		} else if s.To >= hi {
			hi = math.Min(hi, s.From)
		}
	}
	var v []float64
	for _, t := range c.Traces {
		for i, x := range t.X {
			if y := t.Y[i]; x >= lo && x <= hi && !math.IsNaN(y) && !math.IsInf(y, 0) {
				v = append(v, y)
			}
		}
	}
	slices.Sort(v)
	return v
}

// central sets the left axis to hold all but 2 % of the values at either end, in round
// steps; at least least wide.
func central(c chart.Chart, least float64) chart.Chart {
	v := shown(c)
	if len(v) == 0 {
		return c
	}
	lo, hi := v[len(v)/50], v[len(v)-1-len(v)/50]
	if more := least - (hi - lo); more > 0 {
		lo, hi = lo-more/2, hi+more/2
	}
	step := chart.NiceStep((hi - lo) / 5)
	c.Y.Min, c.Y.Max, c.Y.Step = math.Floor(lo/step)*step, math.Ceil(hi/step)*step, step
	return c
}
