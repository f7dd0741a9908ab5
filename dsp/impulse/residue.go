package impulse

import (
	"math"
	"slices"
)

// Blocks in which energy is compared. A click is short and reaches high; a slam is
// long and low, where a short block of noise varies too much to tell it. Levels count
// as steady over at most some 150 blocks, and are compared with no fewer than 9.
const (
	ClickS      = 0.002 // length of the blocks for clicks, s
	slamS       = 0.02
	mostAround  = 75 // blocks to either side
	leastAround = 4
	// the median of the surroundings moves slowly: it is taken anew every few blocks
	medianEvery = 5
	// slamExtraDB is how much further a slam must stand out: a long low block of
	// pink noise varies more.
	slamExtraDB = 4
)

// ResidueOrders is how many times the frequency of the sweep Residue takes out.
const ResidueOrders = 9.5

// Residue returns what is left of a recorded sweep when the linear response, keepS
// long, and the harmonic orders up to 9 are taken out of it: noise, clicks, what
// came from elsewhere. It is the stimulus convolved with the impulse response
// outside the window from L ln 9.5 before the arrival to keepS after it. h must
// come from this deconvolver, and lL is the L of the sweep.
func (d *Deconvolver) Residue(stimulus []float64, h *Impulse, zeroS, lL, keepS float64) []float64 {
	n := len(h.Samples)
	rest := slices.Clone(h.Samples)
	from := int((zeroS - lL*math.Log(ResidueOrders)) * h.RateHz)
	to := int((zeroS + keepS) * h.RateHz)
	for i := from; i < to; i++ {
		rest[((i%n)+n)%n] = 0
	}
	x := d.plan.Coefficients(nil, stimulus)
	bins := d.plan.Coefficients(d.bins, rest)
	for k := range bins {
		bins[k] *= x[k]
	}
	return d.plan.Sequence(nil, bins)
}

// Burst is a short rise of energy in a signal.
type Burst struct {
	At      int     // sample of its middle
	ClearDB float64 // over the median of its surroundings
}

// FindBursts returns the clicks and slams in x: blocks of 2 ms of its slope, and of
// 20 ms of its mean over a millisecond, whose energy stands more than thresholdDB
// over the median of the blocks around, neighbours taken together. For clicks around is
// steadyS to either side, over which the level of what is there hardly changes.
func FindBursts(x []float64, rateHz, thresholdDB, steadyS float64) []Burst {
	near := min(max(int(steadyS/ClickS), leastAround), mostAround)
	out := burstsIn(slope(x), max(1, int(ClickS*rateHz)), near, thresholdDB)
	for _, b := range burstsIn(smoothed(x, max(1, int(0.001*rateHz))), max(1, int(slamS*rateHz)), mostAround, thresholdDB+slamExtraDB) {
		known := slices.ContainsFunc(out, func(c Burst) bool { return math.Abs(float64(c.At-b.At)) < 2*slamS*rateHz })
		if !known {
			out = append(out, b)
		}
	}
	return out
}

// slope is the difference from sample to sample: what clicks are made of.
func slope(x []float64) []float64 {
	out := make([]float64, len(x))
	for i := 1; i < len(x); i++ {
		out[i] = x[i] - x[i-1]
	}
	return out
}

// smoothed is the running mean of x over n samples.
func smoothed(x []float64, n int) []float64 {
	out := make([]float64, len(x))
	sum := 0.0
	for i, v := range x {
		sum += v
		if i >= n {
			sum -= x[i-n]
		}
		out[i] = sum / float64(n)
	}
	return out
}

func burstsIn(x []float64, size, around int, thresholdDB float64) []Burst {
	levels := make([]float64, len(x)/size)
	for b := range levels {
		sum := 0.0
		for _, v := range x[b*size : (b+1)*size] {
			sum += v * v
		}
		levels[b] = 10 * math.Log10(sum/float64(size)+1e-30)
	}
	var out []Burst
	last, usual := -3, 0.0
	for b, level := range levels {
		if b%medianEvery == 0 {
			usual = medianOf(levels[max(0, b-around):min(len(levels), b+around+1)])
		}
		clear := level - usual
		if clear < thresholdDB {
			continue
		}
		burst := Burst{At: b*size + size/2, ClearDB: clear}
		switch k := len(out) - 1; {
		case b-last > 2:
			out = append(out, burst)
		case clear > out[k].ClearDB:
			out[k] = burst
		}
		last = b
	}
	return out
}
