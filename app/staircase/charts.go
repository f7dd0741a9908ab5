package staircase

import (
	"fmt"
	"math"

	"stillroom/app/chart"
	"stillroom/dsp/distortion"
)

// Charts describes level, distortion and compression of each step, and how loud each
// octave gets below a distortion in %.
func (r *Result) Charts(thdPercent float64) []chart.Chart {
	return []chart.Chart{r.levels(), r.distortion(), r.compression(), r.highest(thdPercent)}
}

func (r *Result) frequencyAxis() chart.Axis {
	a := chart.Axis{Label: "Hz", Min: 20, Max: 20000, Log: true}
	for _, from := range []float64{50, 100, 200, 500, 1000} {
		if r.Plan.Programme.LowHz >= from {
			a.Min = from
		}
	}
	return a
}

// steps draws one curve of each step.
func (r *Result) steps(read func(Step) []float64) []chart.Trace {
	var out []chart.Trace
	for i, s := range r.Steps {
		color, dash := chart.Series(i)
		out = append(out, chart.Trace{Name: fmt.Sprintf("%.4g dBFS", s.LevelDBFS), X: s.FrequencyHz, Y: read(s), Color: color, Dash: dash})
	}
	return out
}

func (r *Result) levels() chart.Chart {
	c := chart.Chart{Title: "Level", Subtitle: r.Unit, X: r.frequencyAxis(), Y: chart.Axis{Label: "dB", Min: -60, Max: 0, Step: 10},
		Traces: r.steps(func(s Step) []float64 { return s.LevelDB })}
	c = c.FitAll(10)
	c.Y.Min = math.Max(c.Y.Min, c.Y.Max-80)
	return c
}

func (r *Result) distortion() chart.Chart {
	c := chart.Chart{Title: "Total harmonic distortion", Subtitle: "% re fundamental", X: r.frequencyAxis(), Y: chart.Axis{Label: "%", Min: 0.1, Max: 10, Log: true},
		Traces: r.steps(func(s Step) []float64 { return distortion.Percent(s.THDDB) })}
	low, high := 0.1, 10.0
	for _, t := range c.Traces {
		for _, v := range t.Y {
			if v > 0 {
				low, high = math.Min(low, v), math.Max(high, v)
			}
		}
	}
	c.Y.Min, c.Y.Max = math.Pow(10, math.Floor(math.Log10(low))), math.Min(1000, math.Pow(10, math.Ceil(math.Log10(high))))
	return c
}

func (r *Result) compression() chart.Chart {
	c := chart.Chart{Title: "Compression", Subtitle: "dB against the lowest step, below 0 where less sounds than it promises", X: r.frequencyAxis(),
		Y: chart.Axis{Label: "dB", Min: -3, Max: 3, Step: 1}, Traces: r.steps(func(s Step) []float64 { return s.CompressionDB })}
	if len(c.Traces) > 0 {
		c.Traces = c.Traces[1:]
	}
	lowest := 0.0
	for _, s := range r.Steps {
		lowest = math.Min(lowest, s.MostCompressionDB)
	}
	for c.Y.Min > lowest && c.Y.Max < 12 {
		c.Y.Min, c.Y.Max, c.Y.Step = 2*c.Y.Min, 2*c.Y.Max, 2*c.Y.Step
	}
	return c
}

func (r *Result) highest(thdPercent float64) chart.Chart {
	c := chart.Chart{Title: fmt.Sprintf("Highest level below %.3g %% distortion", thdPercent), Subtitle: r.Unit + ", mean of each octave",
		X: r.frequencyAxis(), Y: chart.Axis{Label: "dB", Min: -60, Max: 0, Step: 10}}
	limited, open := chart.Trace{Name: "limited by distortion", Color: chart.Blue, Width: 2}, chart.Trace{Name: "the staircase ended first", Color: chart.Orange, Dash: 1, Width: 2}
	for _, b := range r.Highest(thdPercent) {
		one, other := &limited, &open
		if !b.Limited {
			one, other = &open, &limited
		}
		low, high := b.Band.LowHz, math.Nextafter(b.Band.HighHz, 0)
		one.X, one.Y = append(one.X, low, high), append(one.Y, b.LevelDB, b.LevelDB)
		other.X, other.Y = append(other.X, low, high), append(other.Y, math.NaN(), math.NaN())
	}
	c.Traces = []chart.Trace{limited, open}
	return c.FitAll(10)
}
