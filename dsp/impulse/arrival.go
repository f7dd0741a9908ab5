package impulse

import (
	"math"

	"stillroom/dsp/fft"
)

// Arrival is when, and how, the direct sound comes in.
type Arrival struct {
	DelayS   float64 // lag of the arrival
	Inverted bool
	// Likeness is how much the response resembles the minimum-phase response of
	// the same magnitude, 0 to 1. Below a half neither figure means much.
	Likeness float64
}

// Around the peak of the response, this much is looked at; and this far around the
// peak of the correlation for one of the other sign.
const (
	beforePeakS = 0.02
	afterPeakS  = 0.15
	signS       = 0.0003
)

// FindArrival returns the arrival near the largest peak of h: the delay that is
// left when the response is compared with the minimum-phase response of the same
// magnitude, by the peak of their cross-correlation and then by the slope of the
// phase between them (excess phase; A. V. Oppenheim and R. W. Schafer,
// "Discrete-Time Signal Processing", section 5.6). A device of minimum phase is
// timed to a fraction of a sample whatever its response; time zero is then its
// true onset.
func FindArrival(h *Impulse) Arrival {
	peak := h.Peak()
	before, after := int(beforePeakS*h.RateHz), int(afterPeakS*h.RateHz)
	p := Piece{Samples: h.Cut(peak-before, peak+after), RateHz: h.RateHz}
	n := fft.GoodLength(2 * len(p.Samples))
	plan := fft.NewReal(n)
	bins := plan.Coefficients(nil, p.Samples)
	minimum := minimumPhase(plan, bins, h.Band, h.RateHz)
	cross, power, reference := make([]complex128, len(bins)), 0.0, 0.0
	df := h.RateHz / float64(n)
	for k := range bins {
		if f := float64(k) * df; f < 2*h.Band.EdgeHz || f > h.Band.FullHz {
			continue
		}
		cross[k] = bins[k] * complex(real(minimum[k]), -imag(minimum[k]))
		power += norm(bins[k])
		reference += norm(minimum[k])
	}
	if power == 0 || reference == 0 {
		return Arrival{}
	}
	correlation := plan.Sequence(nil, cross)
	lag, inverted := signedPeak(correlation, cross, int(signS*h.RateHz))
	return Arrival{
		DelayS:   (float64(peak-before) + refineLag(cross, float64(lag), n, inverted)) / h.RateHz,
		Inverted: inverted,
		// both sums run over one side of the spectrum
		Likeness: math.Min(1, math.Abs(at(correlation, lag))*float64(n)/2/math.Sqrt(power*reference)),
	}
}

// signedPeak returns the lag of the arrival and its sign. The largest peak of the
// correlation is ruled by the highest octaves, where half a period is short: a
// loudspeaker with a crossover (an all-pass) can look inverted there. So the best
// peak of either sign near it is weighed by what all octaves together say of its
// sign.
func signedPeak(correlation []float64, cross []complex128, near int) (lag int, inverted bool) {
	centre, top := peakOf(correlation)
	plus, minus := centre, centre
	for i := centre - near; i <= centre+near; i++ {
		if at(correlation, i) > at(correlation, plus) {
			plus = i
		}
		if at(correlation, i) < at(correlation, minus) {
			minus = i
		}
	}
	score := func(lag int) float64 {
		return at(correlation, lag)/math.Abs(top) + octaveSign(cross, lag, len(correlation))
	}
	if score(plus) >= -score(minus) {
		return plus, false
	}
	return minus, true
}

// octaveSign is the correlation at a lag with equal weight for each octave, −1 to 1.
func octaveSign(cross []complex128, lag, n int) float64 {
	var sum, whole float64
	for k := 1; k < len(cross); k++ {
		c := cross[k]
		if c == 0 {
			continue
		}
		sin, cos := math.Sincos(2 * math.Pi * float64(k) * float64(lag) / float64(n))
		sum += (real(c)*cos - imag(c)*sin) / float64(k)
		whole += math.Sqrt(norm(c)) / float64(k)
	}
	if whole == 0 {
		return 0
	}
	return sum / whole
}

// at reads a circular signal at any lag.
func at(x []float64, lag int) float64 { return x[(lag%len(x)+len(x))%len(x)] }

// minimumPhase returns the minimum-phase spectrum of the magnitude of bins: the
// cepstrum folded onto positive time (Oppenheim and Schafer, section 13.5). Outside
// the band the magnitude at its ends is carried on.
func minimumPhase(plan *fft.Real, bins []complex128, band Band, rateHz float64) []complex128 {
	n := plan.Len()
	df := rateHz / float64(n)
	low := max(1, int(math.Ceil(2*band.EdgeHz/df)))
	high := min(len(bins)-1, int(band.FullHz/df))
	floor := 0.0
	for k := low; k <= high; k++ {
		floor = math.Max(floor, norm(bins[k]))
	}
	floor *= 1e-12
	logs := make([]complex128, len(bins))
	for k := range bins {
		j := min(max(k, low), high)
		logs[k] = complex(0.5*math.Log(norm(bins[j])+floor+math.SmallestNonzeroFloat64), 0)
	}
	cepstrum := plan.Sequence(nil, logs)
	for i := 1; i < n/2; i++ {
		cepstrum[i] *= 2
		cepstrum[n-i] = 0
	}
	out := plan.Coefficients(logs, cepstrum)
	for k, v := range out {
		sin, cos := math.Sincos(imag(v))
		m := math.Exp(real(v))
		out[k] = complex(m*cos, m*sin)
	}
	return out
}

// peakOf returns the lag and value of the largest magnitude in a circular
// correlation.
func peakOf(c []float64) (lag int, value float64) {
	lag, value = largest(c)
	if lag > len(c)/2 {
		lag -= len(c)
	}
	return lag, value
}

// largest returns the place and value of the largest magnitude.
func largest(c []float64) (at int, value float64) {
	for i, v := range c {
		if math.Abs(v) > math.Abs(value) {
			at, value = i, v
		}
	}
	return at, value
}

// refineLag improves a lag, in samples, by least squares on the phase of the cross
// spectrum, weighted by its magnitude.
func refineLag(cross []complex128, lag float64, n int, inverted bool) float64 {
	for range 8 {
		var num, den float64
		for k, c := range cross {
			if c == 0 {
				continue
			}
			w := 2 * math.Pi * float64(k) / float64(n)
			sin, cos := math.Sincos(w * lag)
			re, im := real(c)*cos-imag(c)*sin, real(c)*sin+imag(c)*cos
			if inverted {
				re, im = -re, -im
			}
			phase := math.Atan2(im, re)
			if math.Abs(phase) > 1.5 {
				continue
			}
			weight := math.Hypot(re, im)
			num += weight * w * phase
			den += weight * w * w
		}
		if den == 0 {
			return lag
		}
		lag -= num / den
		if math.Abs(num/den) < 1e-5 {
			break
		}
	}
	return lag
}

func norm(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }
