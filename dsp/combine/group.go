package combine

import "math"

// Group is what several curves of one kind say together, point by point, in dB.
type Group struct {
	Count       int
	MeanDB      []float64 // arithmetic mean of the levels
	PowerMeanDB []float64 // level of the mean power
	LowDB       []float64 // minimum
	HighDB      []float64 // maximum
	// DeviationDB is the standard deviation of one curve (n−1 in the denominator); NaN
	// for a group of one. MeanDB ± DeviationDB is the band that two curves in three of a
	// normal group lie in.
	DeviationDB []float64
}

// GroupOf returns the statistics of a group of level curves on one grid. A point is
// NaN in all of them where any of the curves is NaN.
func GroupOf(curves [][]float64) Group {
	return Group{
		Count:       len(curves),
		MeanDB:      LevelMeanDB(curves),
		PowerMeanDB: PowerMeanDB(curves),
		LowDB:       pointwise(curves, func(v []float64) float64 { return fold(v, math.Min) }),
		HighDB:      pointwise(curves, func(v []float64) float64 { return fold(v, math.Max) }),
		DeviationDB: pointwise(curves, deviation),
	}
}

// fold runs through the values with math.Min or math.Max, both of which keep a NaN.
func fold(v []float64, f func(a, b float64) float64) float64 {
	out := v[0]
	for _, x := range v[1:] {
		out = f(out, x)
	}
	return out
}

func deviation(v []float64) float64 {
	m, sum := mean(v), 0.0
	for _, x := range v {
		sum += (x - m) * (x - m)
	}
	return math.Sqrt(sum / float64(len(v)-1)) // 0/0 for one
}
