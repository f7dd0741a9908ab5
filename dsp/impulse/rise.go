package impulse

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// NoiseRiseDB is how far the energy of a block of Gaussian noise stands over the median
// of such blocks with the given probability. A block lasting T with a bandwidth B has
// about 2BT degrees of freedom, and its energy is distributed as chi squared (Bendat and
// Piersol, Random Data, section 8.2.1; from memory). Fewer than one degree counts as one.
func NoiseRiseDB(bandwidthHz, lengthS, probability float64) float64 {
	energy := distuv.ChiSquared{K: math.Max(1, 2*bandwidthHz*lengthS)}
	return 10 * math.Log10(energy.Quantile(1-probability)/energy.Quantile(0.5))
}
