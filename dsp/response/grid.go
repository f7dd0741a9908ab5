package response

import "math"

// Grid limits and density: 96 points an octave, the octave being 10^0.3 (IEC
// 61260-1, G), which makes 320 points a decade.
const (
	gridFromHz = 10
	gridToHz   = 48000
	perDecade  = 320
)

// Grid returns the frequencies of stored curves, in Hz: exact base-10 fractions
// 1000·10^(k/320), from 10 Hz to 48 kHz or to half the sample rate, whichever is
// lower. Curves from any sample rate line up point by point.
func Grid(rateHz float64) []float64 {
	top := math.Min(gridToHz, rateHz/2)
	var f []float64
	for k := -2 * perDecade; ; k++ {
		v := 1000 * math.Pow(10, float64(k)/perDecade)
		if v > top {
			return f
		}
		f = append(f, v)
	}
}

// Nearest returns the index of the grid frequency nearest to f on a log scale.
// It panics on an empty grid.
func Nearest(grid []float64, f float64) int {
	best := 0
	for i, v := range grid {
		if math.Abs(math.Log(v/f)) < math.Abs(math.Log(grid[best]/f)) {
			best = i
		}
	}
	return best
}
