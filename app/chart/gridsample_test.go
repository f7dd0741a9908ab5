package chart

import (
	"math"
)

// decaySample is a cumulative decay of three resonances in so many slices, made up
// from closed forms: each falls by 27.3·t·f/Q dB, with a gap where nothing was
// measured.
func decaySample(slices, points int) Grid {
	g := Grid{X: logGrid(20, 20000, points)}
	for i := range slices {
		t := 40 * float64(i) / float64(max(slices-1, 1)) // ms
		g.Y = append(g.Y, t)
		g.Level = append(g.Level, curveOf(g.X, func(f float64) float64 {
			if f > 1500 && f < 1800 && t > 12 {
				return math.NaN()
			}
			power := math.Pow(10, -1.6*t*math.Pow(f/800, 0.4)/10+0.12*math.Sin(math.Log2(f)*6))
			for _, r := range [...][3]float64{{90, 3, 0.5}, {640, 40, 0.8}, {4300, 150, 0.5}} {
				detuned := r[1] * (f/r[0] - r[0]/f)
				power += r[2] / (1 + detuned*detuned) * math.Pow(10, -2.73*t/1000*r[0]/r[1])
			}
			return 10*math.Log10(power) - 3 + 20*math.Log10(1/math.Sqrt(1+math.Pow(45/f, 8)))
		}))
	}
	return g
}

func mapSample() Chart {
	return Chart{
		Title: "Cumulative decay", Subtitle: "dB re the first slice  ·  nothing known at 1.6 kHz after 12 ms",
		X: Axis{Label: "Hz", Min: 20, Max: 20000, Log: true}, Y: Axis{Label: "ms", Min: 0, Max: 40, Step: 10},
		Map: &Map{Grid: decaySample(41, 600), Scale: Axis{Label: "dB", Min: -40, Max: 0, Step: 10}, Smooth: true},
	}
}

func surfaceSample(slices, points int) Chart {
	return Chart{
		Title: "Cumulative decay", Subtitle: "dB re the first slice",
		X: Axis{Label: "Hz", Min: 20, Max: 20000, Log: true}, Y: Axis{Label: "dB", Min: -40, Max: 0, Step: 10},
		Surface: &Surface{Grid: decaySample(slices, points), Depth: Axis{Label: "ms", Min: 0, Max: 40, Step: 10}},
	}
}

// groupSample is the mean of a group with its range and its standard deviation, inside
// a target with a tolerance, and a cursor.
func groupSample() Chart {
	c := crowd(3, 500, 0)
	x := c.Traces[0].X
	about := func(y []float64, width func(f float64) float64, side float64) []float64 {
		out := make([]float64, len(x))
		for i, f := range x {
			out[i] = y[i] + side*width(f)
		}
		return out
	}
	mean := curveOf(x, func(f float64) float64 { return wooferLevel(f) + 1.5*math.Sin(math.Log2(f)*3) })
	target := curveOf(x, func(f float64) float64 {
		if f < 60 || f > 15000 {
			return math.NaN()
		}
		return 88
	})
	spread := func(f float64) float64 { return 2 + 2*math.Pow(f/20000, 2) + 1.5*math.Exp(-f/200) }
	deviation := func(f float64) float64 { return spread(f) / 2.2 }
	tolerance := func(f float64) float64 { return 5 + 2*math.Pow(f/15000, 2) }
	return Chart{
		Title: "Twelve units", Subtitle: "dB SPL", X: c.X, Y: Axis{Label: "dB", Min: 70, Max: 100, Step: 5},
		Traces: []Trace{
			{Name: "tolerance", X: x, Y: about(target, tolerance, 1), Low: about(target, tolerance, -1), Color: Ink, Dash: 1, Outside: true, Hatch: Falling},
			{Name: "lowest to highest", X: x, Y: about(mean, spread, 1), Low: about(mean, spread, -1), Color: Blue, Edge: true},
			{Name: "± 1 σ", X: x, Y: about(mean, deviation, 1), Low: about(mean, deviation, -1), Color: Blue, Hatch: Rising},
			{Name: "target", X: x, Y: target, Color: Ink, Dash: 4},
			{Name: "mean", X: x, Y: mean, Color: Blue, Width: 2},
		},
		Cursor: &Cursor{X: 3100, Names: true},
	}
}
