package chart

import "math"

// FitLevel sets the left axis to a window of span dB, its top the round step that
// leaves the highest visible point a tenth of a span of air. Where nothing is
// visible the axis keeps its limits.
func (c Chart) FitLevel(span, step float64) Chart {
	_, hi, ok := c.visible(false)
	if !ok || !(span > 0) || !(step > 0) {
		return c
	}
	c.Y.Max = math.Ceil((hi+0.1*span)/step-1e-9) * step
	c.Y.Min, c.Y.Step = c.Y.Max-span, step
	return c
}

// FitAll sets the left axis so that every visible point lies within round steps.
func (c Chart) FitAll(step float64) Chart {
	lo, hi, ok := c.visible(false)
	if !ok || !(step > 0) {
		return c
	}
	c.Y.Min, c.Y.Max = math.Floor(lo/step+1e-9)*step, math.Ceil(hi/step-1e-9)*step
	if c.Y.Min == c.Y.Max {
		c.Y.Min, c.Y.Max = c.Y.Min-step, c.Y.Max+step
	}
	c.Y.Step = step
	return c
}

// FitRight does for the right axis what FitAll does for the left.
func (c Chart) FitRight(step float64) Chart {
	lo, hi, ok := c.visible(true)
	if !ok || !(step > 0) || c.Y2 == nil {
		return c
	}
	axis := *c.Y2
	axis.Min, axis.Max = math.Floor(lo/step+1e-9)*step, math.Ceil(hi/step-1e-9)*step
	if axis.Min == axis.Max {
		axis.Min, axis.Max = axis.Min-step, axis.Max+step
	}
	axis.Step = step
	c.Y2 = &axis
	return c
}

// visible is the range of the finite points inside the horizontal axis of the
// traces shown on one side.
func (c Chart) visible(right bool) (lo, hi float64, ok bool) {
	x0, x1 := c.X.Limits()
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, t := range c.Traces {
		if t.Hidden || t.Right != right {
			continue
		}
		for i := range min(len(t.X), len(t.Y)) {
			if t.X[i] >= x0 && t.X[i] <= x1 && finite(t.Y[i]) {
				lo, hi = math.Min(lo, t.Y[i]), math.Max(hi, t.Y[i])
			}
		}
	}
	return lo, hi, lo <= hi
}
