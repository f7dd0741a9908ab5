package response

import (
	"math"

	"stillroom/dsp/fft"
)

// band is where a magnitude is known, and how it goes on.
type band struct {
	low, high float64 // Hz
	tails     Tails
}

// phaseDeg returns the minimum phase at frequencies in Hz (NaN at 0 and below and above
// half the rate), in degrees, of the level that levelDB gives inside the band.
//
// A tail that falls towards 0 Hz has a cepstrum that never ends: it is taken out by
// the high-pass (jx/(1+jx))^n with x = f/low and n its slope in powers of frequency,
// whose minimum phase n·atan(1/x) is added again. What is left is flat at both ends.
func (b band) phaseDeg(plan *fft.Real, rateHz float64, frequencyHz []float64, levelDB func(hz float64) float64) []float64 {
	cepstrum := plan.Sequence(nil, b.logMagnitude(plan.Len(), rateHz, levelDB))
	half := cepstrum[:plan.Len()/2]
	half[0] = 0
	out := make([]float64, len(frequencyHz))
	var inside []int
	var f []float64
	for i, hz := range frequencyHz {
		if out[i] = math.NaN(); hz > 0 && hz <= rateHz/2 {
			inside, f = append(inside, i), append(f, hz/rateHz)
		}
	}
	n := b.tails.LowDBPerOctave / dbPerOctave
	for k, v := range fft.At(half, 0, f) {
		i := inside[k]
		out[i] = (2*imag(v) + n*math.Atan(b.low/frequencyHz[i])) * 180 / math.Pi
	}
	return out
}

// logMagnitude is ln|H| without its low tail at the bins of a transform.
func (b band) logMagnitude(length int, rateHz float64, levelDB func(hz float64) float64) []complex128 {
	const neper = math.Ln10 / 20 // of a dB
	width := rateHz / float64(length)
	atLow, atHigh := levelDB(b.low), levelDB(b.high)
	n := b.tails.LowDBPerOctave / dbPerOctave
	logs := make([]complex128, length/2+1)
	for k := range logs {
		hz := float64(k) * width
		v := 0.0
		switch x2 := hz * hz / (b.low * b.low); {
		case hz < b.low:
			v = atLow*neper + n/2*math.Log1p(x2)
		case hz > b.high:
			v = (atHigh+b.tails.HighDBPerOctave*math.Log2(hz/b.high))*neper + n/2*math.Log1p(1/x2)
		default:
			v = levelDB(hz)*neper + n/2*math.Log1p(1/x2)
		}
		logs[k] = complex(v, 0)
	}
	return logs
}

// curve is a level over log frequency between whose points a cubic runs through the
// two on either side (Lagrange; Abramowitz and Stegun 25.2.1).
type curve struct {
	x, y []float64
	last int // where the last value was found: frequencies mostly rise
}

// newCurve takes 4 points or more at rising frequencies.
func newCurve(frequencyHz, y []float64) *curve {
	c := &curve{x: make([]float64, len(frequencyHz)), y: y}
	for i, hz := range frequencyHz {
		c.x[i] = math.Log(hz)
	}
	return c
}

func (c *curve) at(hz float64) float64 {
	x := math.Log(hz)
	if c.x[c.last] > x {
		c.last = 0
	}
	for c.last+2 < len(c.x) && c.x[c.last+1] <= x {
		c.last++
	}
	from := min(max(c.last-1, 0), len(c.x)-4)
	sum := 0.0
	for i := from; i < from+4; i++ {
		term := c.y[i]
		for j := from; j < from+4; j++ {
			if j != i {
				term *= (x - c.x[j]) / (c.x[i] - c.x[j])
			}
		}
		sum += term
	}
	return sum
}
