package combine

import (
	"math"

	"stillroom/dsp/response"
)

// LevelMatch is by how much a curve must be shifted to be as loud as a reference.
type LevelMatch struct {
	OffsetDB float64 // to be added to the curve; NaN where they have nothing in common
	FromHz   float64 // the range that was really compared, inside the one asked for
	ToHz     float64
}

// MatchLevel compares the mean powers of a curve and a reference over fromHz to toHz,
// with equal weight for equal ratios of frequency, at the points where both are known.
func MatchLevel(frequencyHz, levelDB, referenceDB []float64, fromHz, toHz float64) LevelMatch {
	sameLength(len(frequencyHz), len(levelDB), len(referenceDB))
	m := LevelMatch{OffsetDB: math.NaN(), FromHz: math.NaN(), ToHz: math.NaN()}
	var power, wanted float64
	for i, w := range cells(frequencyHz, fromHz, toHz) {
		if w == 0 || math.IsNaN(levelDB[i]) || math.IsNaN(referenceDB[i]) {
			continue
		}
		power += w * math.Pow(10, levelDB[i]/10)
		wanted += w * math.Pow(10, referenceDB[i]/10)
		m.ToHz = math.Min(toHz, frequencyHz[i])
		if math.IsNaN(m.FromHz) {
			m.FromHz = math.Max(fromHz, frequencyHz[i])
		}
	}
	m.OffsetDB = response.DB(wanted / power)
	return m
}

// ClosenessDB is how near two curves are over fromHz to toHz: the root mean square of
// their difference in dB, with equal weight for equal ratios of frequency, at the
// points where both are finite. With matched, the first is shifted by MatchLevel over
// the same band before. It is NaN where they have no point in common.
func ClosenessDB(frequencyHz, aDB, bDB []float64, fromHz, toHz float64, matched bool) float64 {
	sameLength(len(frequencyHz), len(aDB), len(bDB))
	shift := 0.0
	if matched {
		shift = MatchLevel(frequencyHz, aDB, bDB, fromHz, toHz).OffsetDB
	}
	var sum, weight float64
	for i, w := range cells(frequencyHz, fromHz, toHz) {
		d := aDB[i] + shift - bDB[i]
		if w == 0 || math.IsNaN(d) || math.IsInf(d, 0) {
			continue
		}
		sum += w * d * d
		weight += w
	}
	return math.Sqrt(sum / weight)
}

// cells is the share of each point in a mean over log frequency from fromHz to toHz:
// each stands for the axis half way to its neighbours, as far as that lies inside.
func cells(frequencyHz []float64, fromHz, toHz float64) []float64 {
	out := make([]float64, len(frequencyHz))
	low, high, last := math.Log(fromHz), math.Log(toHz), len(frequencyHz)-1
	for i, f := range frequencyHz {
		below, above := frequencyHz[max(i-1, 0)], frequencyHz[min(i+1, last)]
		from := math.Max(low, math.Log(below*f)/2)
		to := math.Min(high, math.Log(f*above)/2)
		out[i] = math.Max(0, to-from)
	}
	return out
}
