package octave

import (
	"math"
	"sort"

	"stillroom/dsp/response"
)

// Powers integrates a power density over each band: perHz is mean square per Hz at
// rising frequencies in Hz, the result mean square. Between its points the density is
// taken as a power law (a straight line on a log–log chart), for which the integral
// is exact; white and pink noise are such laws. A band is NaN where the curve does
// not cover it or is NaN in it. It panics where the lengths differ.
func Powers(frequencyHz, perHz []float64, bands []Band) []float64 {
	c := newLogCurve(frequencyHz, perHz, func(i int) float64 { return perHz[i] * frequencyHz[i] })
	out := make([]float64, len(bands))
	for i, b := range bands {
		out[i] = c.integral(math.Log(b.LowHz), math.Log(b.HighHz))
	}
	return out
}

// LevelsDB returns the level of a response in each band, in dB: that of the mean
// power with equal weight for equal ratios of frequency, which is what the band shows
// when the device is fed with pink noise, re the same band of the noise. levelDB is
// taken as a straight line over log frequency between its points. A band is NaN where
// the curve does not cover it or is NaN in it. It panics where the lengths differ.
func LevelsDB(frequencyHz, levelDB []float64, bands []Band) []float64 {
	c := newLogCurve(frequencyHz, levelDB, func(i int) float64 { return math.Pow(10, levelDB[i]/10) })
	out := make([]float64, len(bands))
	for i, b := range bands {
		low, high := math.Log(b.LowHz), math.Log(b.HighHz)
		out[i] = response.DB(c.integral(low, high) / (high - low))
	}
	return out
}

// logCurve is a curve over ln f, a power law between its points.
type logCurve struct{ u, g []float64 }

func newLogCurve(frequencyHz, values []float64, g func(i int) float64) logCurve {
	if len(frequencyHz) != len(values) {
		panic("octave: a curve with more values than frequencies, or fewer")
	}
	c := logCurve{make([]float64, len(values)), make([]float64, len(values))}
	for i, f := range frequencyHz {
		c.u[i], c.g[i] = math.Log(f), g(i)
	}
	return c
}

// integral is ∫ g du from low to high.
func (c logCurve) integral(low, high float64) float64 {
	const slack = 1e-9
	last := len(c.u) - 1
	if last < 1 || low < c.u[0]-slack || high > c.u[last]+slack {
		return math.NaN()
	}
	sum := 0.0
	first := max(sort.SearchFloat64s(c.u, low), 1)
	for i := first; i <= last && c.u[i-1] < high; i++ {
		sum += c.segment(i, math.Max(low, c.u[i-1]), math.Min(high, c.u[i]))
	}
	return sum
}

// segment is the integral from a to b, both between points i−1 and i.
func (c logCurve) segment(i int, a, b float64) float64 {
	width, g0, g1 := c.u[i]-c.u[i-1], c.g[i-1], c.g[i]
	if !(g0 > 0 && g1 > 0) { // a straight line where there is no power law
		middle := ((a+b)/2 - c.u[i-1]) / width
		return (g0 + (g1-g0)*middle) * (b - a)
	}
	slope := math.Log(g1/g0) / width
	atA, rise := g0*math.Exp(slope*(a-c.u[i-1])), slope*(b-a)
	if rise == 0 {
		return atA * (b - a)
	}
	return atA * (b - a) * math.Expm1(rise) / rise
}
