package combine

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/interp"
)

// Resample brings a level curve from its own frequencies to others, such as those of
// the stored grid: by monotone cubics over log frequency, which pass through every
// point and do not overshoot between them (F. N. Fritsch and J. Butland, SIAM J. Sci.
// Stat. Comput. 5(2), 1984). Beyond the ends of the curve the result is NaN, and so it
// is between two points of which one is not finite. It panics unless the frequencies
// rise from above 0 Hz.
func Resample(frequencyHz, levelDB, wantedHz []float64) []float64 {
	sameLength(len(frequencyHz), len(levelDB))
	u := make([]float64, len(frequencyHz))
	for i, f := range frequencyHz {
		if !(f > 0) || i > 0 && !(f > frequencyHz[i-1]) {
			panic("combine: the frequencies of a curve must rise from above 0 Hz")
		}
		u[i] = math.Log(f)
	}
	out := make([]float64, len(wantedHz))
	for i := range out {
		out[i] = math.NaN()
	}
	for from := 0; from < len(u); from++ {
		to := from
		for to < len(u) && !math.IsNaN(levelDB[to]) && !math.IsInf(levelDB[to], 0) {
			to++
		}
		fill(out, wantedHz, u[from:to], levelDB[from:to])
		from = to
	}
	return out
}

// fill writes the values of one unbroken stretch of a curve to the wanted frequencies
// inside it; its ends count as inside to a billionth.
func fill(out, wantedHz, u, level []float64) {
	if len(u) == 0 {
		return
	}
	at := func(float64) float64 { return level[0] }
	if len(u) > 1 {
		var cubic interp.FritschButland
		_ = cubic.Fit(u, level) // always nil
		at = cubic.Predict
	}
	const slack = 1e-9
	first, last := u[0], u[len(u)-1]
	for i, f := range wantedHz {
		if x := math.Log(f); x >= first-slack && x <= last+slack {
			x = math.Min(math.Max(x, first), last)
			if k := sort.SearchFloat64s(u, x); k < len(u) && math.Abs(u[k]-x) < 1e-15 {
				out[i] = level[k]
				continue
			}
			out[i] = at(x)
		}
	}
}
