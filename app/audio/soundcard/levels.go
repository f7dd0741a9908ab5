package soundcard

import "math"

// levels returns the highest magnitude and the root mean square of the frames
// from..to of a row that goes round after len(row) frames, both re full scale.
// An empty range gives zeros.
func levels(row []float32, from, to int64) (peakFS, rmsFS float64) {
	if to <= from {
		return 0, 0
	}
	var sum float64
	for n := from; n < to; n++ {
		s := float64(row[n%int64(len(row))])
		sum += s * s
		peakFS = max(peakFS, math.Abs(s))
	}
	return peakFS, math.Sqrt(sum / float64(to-from))
}
