package chart

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// Charts with invented curves, for golden pictures and benchmarks.

func logGrid(from, to float64, n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = from * math.Pow(to/from, float64(i)/float64(n-1))
	}
	return x
}

func curveOf(x []float64, f func(float64) float64) []float64 {
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = f(v)
	}
	return y
}

// wooferLevel is a fourth-order high-pass at 38 Hz with small ripples.
func wooferLevel(f float64) float64 {
	r := math.Pow(f/38, 4)
	return 88.5 + 20*math.Log10(r/math.Sqrt(1+r*r)) + 0.5*math.Sin(math.Log2(f)*5) - 2*math.Pow(f/18000, 2)
}

func responseSample() Chart {
	x := logGrid(20, 20000, 960)
	phase := func(f float64) float64 {
		p := 360*math.Atan2(38, f)/math.Pi*2 - f*0.00022*360
		return p - 360*math.Round(p/360)
	}
	return Chart{
		Title: "Response", Subtitle: "magnitude, dB SPL at 1 m for 2.83 V  ·  phase, dashed  ·  1/24 octave",
		X:  Axis{Label: "Hz", Min: 20, Max: 20000, Log: true},
		Y:  Axis{Label: "dB", Min: 60, Max: 100, Step: 10},
		Y2: &Axis{Min: -180, Max: 180, Step: 90, Unit: "°"},
		Traces: []Trace{
			{Name: "magnitude", X: x, Y: curveOf(x, wooferLevel), Color: Blue, Width: 2},
			{Name: "phase", X: x, Y: curveOf(x, phase), Color: Purple, Dash: 1, Width: 1.25, Right: true, Wrap: 360},
		},
		Shades: []Shade{{From: 20, To: 213, Why: "below 213 Hz the gate is too short"}},
	}
}

func impulseSample() Chart {
	n := 3000
	x, y := make([]float64, n), make([]float64, n)
	for i := range x {
		x[i] = 14 * float64(i) / float64(n-1)
		for _, hit := range [...][2]float64{{2.9, 1}, {7.35, -0.3}, {9.2, 0.18}, {11.1, 0.12}} {
			if d := x[i] - hit[0]; d >= 0 {
				y[i] += hit[1] * math.Exp(-d/0.45) * math.Cos(2*math.Pi*d*1.1)
			}
		}
	}
	return Chart{
		Title: "Impulse response", Subtitle: "drag the two handles to set the gate",
		X: Axis{Label: "ms", Min: 0, Max: 14}, Y: Axis{Min: -1.15, Max: 1.15, Step: 1},
		Traces: []Trace{{Name: "impulse response", X: x, Y: y, Color: Ink, Width: 1.25}},
		Shades: []Shade{{From: 2.4, To: 7.1, Window: true}},
		Marks:  []Mark{{X: 7.35, Text: "first reflection, 1.52 m longer path"}},
	}
}

func distortionSample() Chart {
	x := logGrid(28, 20000, 900)
	order := func(base, slope, wobble float64) func(float64) float64 {
		return func(f float64) float64 {
			return base + slope*math.Exp(-f/90) + wobble*math.Sin(math.Log2(f)*3.1+base)
		}
	}
	c := Chart{
		Title: "Harmonic distortion", Subtitle: "dB re fundamental  ·  noise floor shaded",
		X: Axis{Label: "Hz", Min: 20, Max: 20000, Log: true},
		Y: Axis{Label: "dB", Min: -90, Max: -10, Step: 20},
	}
	full := logGrid(20, 20000, 960)
	c.Traces = append(c.Traces, Trace{Name: "noise floor", X: full, Color: Blue, Fill: true,
		Y: curveOf(full, func(f float64) float64 { return -77 + 6*math.Exp(-f/60) + 3*math.Sin(math.Log2(f)*2) })})
	for i, p := range [...]struct {
		name  string
		color int
		base  float64
	}{{"2nd", Vermilion, -48}, {"3rd", Blue, -55}, {"4th", Green, -66}, {"5th", Purple, -69}} {
		y := curveOf(x, order(p.base, 38, 3.5))
		for k, f := range x {
			if f*float64(i+2) > 24000 {
				y[k] = math.NaN()
			}
		}
		c.Traces = append(c.Traces, Trace{Name: p.name, X: x, Y: y, Color: p.color, Dash: i % 4})
	}
	return c
}

// linearGrid is the frequencies of a spectrum of n points up to a limit.
func linearGrid(to float64, n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = to * float64(i) / float64(n-1)
	}
	return x
}

// crowd is a chart of n traces of so many points, with noise of so many dB.
func crowd(n, points int, noise float64) Chart {
	return crowdOn(n, logGrid(20, 20000, points), noise)
}

func crowdOn(n int, x []float64, noise float64) Chart {
	rng := rand.New(rand.NewPCG(1, 2))
	c := Chart{
		Title: "Magnitude", X: Axis{Label: "Hz", Min: 20, Max: 20000, Log: true}, Y: Axis{Label: "dB", Min: 50, Max: 100, Step: 10},
	}
	for i := range n {
		level := func(f float64) float64 {
			return wooferLevel(f) - 2*float64(i) + 3*math.Sin(math.Log2(f)*float64(i+3)/2) + noise*rng.NormFloat64()
		}
		place, dash := Series(i)
		c.Traces = append(c.Traces, Trace{Name: fmt.Sprint(i), X: x, Y: curveOf(x, level), Color: place, Dash: dash, Width: 2})
	}
	return c
}
