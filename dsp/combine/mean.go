package combine

import (
	"math"

	"stillroom/dsp/response"
)

// PowerMeanDB is the level of the mean power of several curves at each point (energy
// mean; ISO 3382-1:2009 and IEC 60268-5:2003 for means over places), in dB.
func PowerMeanDB(curves [][]float64) []float64 {
	return pointwise(curves, func(levels []float64) float64 {
		power := 0.0
		for _, l := range levels {
			power += math.Pow(10, l/10)
		}
		return response.DB(power / float64(len(levels)))
	})
}

// LevelMeanDB is the arithmetic mean of the levels at each point, in dB: the geometric
// mean of the powers, which a single dip pulls down further than PowerMeanDB.
func LevelMeanDB(curves [][]float64) []float64 { return pointwise(curves, mean) }

// ComplexMean is the mean of several complex responses after each was brought to the
// delay and the polarity of the first, as Align finds them over fromHz to toHz. What
// was found is told; that of the first is no delay. It averages out noise and, where
// the responses differ in phase, gives less than PowerMeanDB.
func ComplexMean(frequencyHz []float64, responses [][]complex128, fromHz, toHz float64) ([]complex128, []Alignment) {
	out := make([]complex128, len(frequencyHz))
	found := make([]Alignment, len(responses))
	for i, h := range responses {
		if found[i] = (Alignment{Likeness: 1}); i > 0 {
			found[i] = Align(frequencyHz, h, responses[0], fromHz, toHz)
		}
		for k, v := range found[i].Undo(frequencyHz, h) {
			out[k] += v / complex(float64(len(responses)), 0)
		}
	}
	return out, found
}

// pointwise applies f to the values of all curves at each point.
func pointwise(curves [][]float64, f func([]float64) float64) []float64 {
	if len(curves) == 0 {
		return nil
	}
	out := make([]float64, len(curves[0]))
	column := make([]float64, len(curves))
	for i := range out {
		for j, c := range curves {
			sameLength(len(c), len(out))
			column[j] = c[i]
		}
		out[i] = f(column)
	}
	return out
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

func sameLength(lengths ...int) {
	for _, n := range lengths {
		if n != lengths[0] {
			panic("combine: curves of different lengths")
		}
	}
}
