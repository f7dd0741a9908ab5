package impulse

import "stillroom/dsp/fft"

// BandEnergy holds the spectrum of one recorded sweep, to compare repeats by.
type BandEnergy struct {
	bins   []complex128
	width  float64 // Hz
	frames int
}

// NewBandEnergy transforms one repeat.
func NewBandEnergy(x []float64, rateHz float64) BandEnergy {
	n := fft.GoodLength(len(x))
	return BandEnergy{fft.NewReal(n).Coefficients(nil, x), rateHz / float64(n), len(x)}
}

// Disagreement returns, between two frequencies, the variance of one repeat around
// the mean of all (the sum of squared deviations over R−1) and the energy of the
// mean, both as sums of squares of samples. It panics where there are fewer than
// two repeats or their lengths differ.
func Disagreement(repeats []BandEnergy, fromHz, toHz float64) (variance, mean float64) {
	if len(repeats) < 2 {
		panic("impulse: one repeat agrees with itself")
	}
	first := repeats[0]
	n := float64(2 * (len(first.bins) - 1))
	for k := int(fromHz / first.width); k < int(toHz/first.width) && k < len(first.bins); k++ {
		var m complex128
		for _, r := range repeats {
			m += r.bins[k]
		}
		m /= complex(float64(len(repeats)), 0)
		for _, r := range repeats {
			variance += norm(r.bins[k]-m) / float64(len(repeats)-1)
		}
		mean += norm(m)
	}
	return 2 * variance / n, 2 * mean / n // both halves of the spectrum, Parseval
}
