package impulse

import (
	"math"

	"stillroom/dsp/excitation"
)

// Combined is the average of repeats.
type Combined struct {
	Mean    []float64
	Spoiled []int // how many blocks of each repeat were left out
}

// A stretch of a repeat goes when its deviation holds ratio times the energy that
// is usual among the repeats: seen as slope in short blocks, and as mean over a
// millisecond in long ones, where a few bangs of low noise are usual.
const (
	combineS   = 0.005
	clickRatio = 6.0
	longBlocks = 4
	slamRatio  = 25.0
	dilation   = 2 // blocks to either side that go with it
)

// Combine averages repeats of one length sample by sample, leaving out stretches
// that a click or a slam has spoiled. For each block of 5 ms the energy of each
// repeat's deviation from the median of all is compared with the median of those
// energies; with two repeats, the one of more energy goes where they differ more
// than usual. Stretches are faded over, so that no step is left. It panics where
// the lengths differ.
func Combine(repeats [][]float64, rateHz float64) Combined {
	n, r := len(repeats[0]), len(repeats)
	for _, x := range repeats {
		if len(x) != n {
			panic("impulse: repeats of different lengths")
		}
	}
	c := Combined{Mean: make([]float64, n), Spoiled: make([]int, r)}
	if r == 1 {
		copy(c.Mean, repeats[0])
		return c
	}
	size := max(1, int(combineS*rateHz))
	bad := c.judge(repeats, size, rateHz)
	weight := make([]float64, n)
	for i, x := range repeats {
		w := fadedWeights(bad[i], size, n)
		for k, v := range x {
			c.Mean[k] += w[k] * v
			weight[k] += w[k]
		}
	}
	for k := range c.Mean {
		c.Mean[k] /= weight[k]
	}
	return c
}

// judge marks the blocks of each repeat that go.
func (c *Combined) judge(repeats [][]float64, size int, rateHz float64) [][]bool {
	bad := make([][]bool, len(repeats))
	short, long := make([][]float64, len(repeats)), make([][]float64, len(repeats))
	for i, x := range repeats {
		bad[i] = make([]bool, len(x)/size+1)
		short[i], long[i] = slope(x), smoothed(x, max(1, int(0.001*rateHz)))
	}
	c.mark(bad, short, size, 1, clickRatio)
	c.mark(bad, long, size, longBlocks, slamRatio)
	return keepOne(bad)
}

// mark compares the views of the repeats in blocks of so many times size.
func (c *Combined) mark(bad [][]bool, views [][]float64, size, times int, ratio float64) {
	wide := size * times
	energy, usual := deviations(views, wide)
	floor := 0.3 * medianOf(usual)
	for b := range usual {
		limit := ratio * math.Max(usual[b], floor)
		if len(views) == 2 { // both deviate alike: compare with the blocks around
			limit = ratio * math.Max(medianOf(usual[max(0, b-30):min(len(usual), b+31)]), floor)
		}
		for i := range views {
			if energy[i][b] <= limit || limit == 0 || len(views) == 2 && !louder(views, i, b, wide) {
				continue
			}
			c.Spoiled[i]++
			for k := max(0, b*times-dilation); k < min(len(bad[i]), (b+1)*times+dilation); k++ {
				bad[i][k] = true
			}
		}
	}
}

// deviations returns, for each repeat and block, the energy of its deviation from the
// median of all, and per block the median of those energies.
func deviations(views [][]float64, size int) (energy [][]float64, usual []float64) {
	r, blocks := len(views), len(views[0])/size
	energy, usual = make([][]float64, r), make([]float64, blocks)
	for i := range views {
		energy[i] = make([]float64, blocks)
	}
	column := make([]float64, r)
	for b := range blocks {
		for k := b * size; k < (b+1)*size; k++ {
			for i, x := range views {
				column[i] = x[k]
			}
			m := medianOf(column)
			if r == 2 {
				m = (column[0] + column[1]) / 2
			}
			for i, v := range column {
				energy[i][b] += (v - m) * (v - m)
			}
		}
		for i := range views {
			column[i] = energy[i][b]
		}
		usual[b] = medianOf(column)
	}
	return energy, usual
}

// louder reports whether repeat i holds more energy than the other in a block.
func louder(repeats [][]float64, i, b, size int) bool {
	var e [2]float64
	for j := range e {
		for _, v := range repeats[j][b*size : (b+1)*size] {
			e[j] += v * v
		}
	}
	return e[i] >= e[1-i]
}

// keepOne gives a block back to all repeats where none would be left.
func keepOne(bad [][]bool) [][]bool {
	for b := range bad[0] {
		all := true
		for i := range bad {
			all = all && bad[i][b]
		}
		if all {
			for i := range bad {
				bad[i][b] = false
			}
		}
	}
	return bad
}

// fadedWeights is 1 where a repeat counts and 0 where it is left out, with raised
// cosines of one block between.
func fadedWeights(bad []bool, size, n int) []float64 {
	w := make([]float64, n)
	for k := range w {
		b := min(k/size, len(bad)-1)
		if bad[b] {
			continue
		}
		w[k] = 1
		u := float64(k%size) / float64(size)
		if b > 0 && bad[b-1] {
			w[k] = excitation.RaisedCosine(u)
		}
		if b+1 < len(bad) && bad[b+1] {
			w[k] = math.Min(w[k], excitation.RaisedCosine(1-u))
		}
		w[k] = math.Max(w[k], 1e-9)
	}
	return w
}
