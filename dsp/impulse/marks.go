package impulse

import (
	"math"

	"stillroom/dsp/fft"
)

// Delay returns how much later b shows the same signal than a, in samples, from
// the cross-correlation of both in the band lowHz to highHz and the slope of the
// phase of their cross spectrum. confidence is the normalised correlation at the
// peak, 0 to 1.
func Delay(a, b []float64, rateHz, lowHz, highHz float64) (samples, confidence float64) {
	n := fft.GoodLength(len(a) + len(b))
	plan := fft.NewReal(n)
	x, y := plan.Coefficients(nil, a), plan.Coefficients(nil, b)
	var xx, yy float64
	df := rateHz / float64(n)
	for k := range x {
		if f := float64(k) * df; f < lowHz || f > highHz {
			x[k] = 0
			continue
		}
		xx += norm(x[k])
		yy += norm(y[k])
		x[k] = y[k] * complex(real(x[k]), -imag(x[k]))
	}
	if xx == 0 || yy == 0 {
		return 0, 0
	}
	lag, value := peakOf(plan.Sequence(nil, x))
	return refineLag(x, float64(lag), n, value < 0), math.Min(1, math.Abs(value)*float64(n)/2/math.Sqrt(xx*yy))
}

// FindMark returns where in recording the mark begins, in whole samples, and how
// far the correlation there stands out of its surroundings, in dB: the peak over
// the root mean square of the whole correlation. Below 12 dB there is no mark.
func FindMark(mark, recording []float64) (at int, contrastDB float64) {
	if len(recording) < len(mark) {
		return 0, 0
	}
	n := fft.GoodLength(len(recording) + len(mark))
	plan := fft.NewReal(n)
	m, r := plan.Coefficients(nil, mark), plan.Coefficients(nil, recording)
	for k := range m {
		m[k] = r[k] * complex(real(m[k]), -imag(m[k]))
	}
	c := plan.Sequence(nil, m)[:len(recording)-len(mark)+1]
	sum := 0.0
	for _, v := range c {
		sum += v * v
	}
	lag, value := largest(c)
	if sum == 0 {
		return 0, 0
	}
	return lag, 20 * math.Log10(math.Abs(value)/math.Sqrt(sum/float64(len(c))))
}
