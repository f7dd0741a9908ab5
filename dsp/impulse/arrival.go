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

// Around the peak, this much is looked at.
const (
	beforePeakS = 0.02
	afterPeakS  = 0.15
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
	n := fft.GoodLength(4 * len(p.Samples))
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
	lag, value := peakOf(plan.Sequence(nil, cross))
	fine := refineLag(cross, float64(lag), n, value < 0)
	return Arrival{
		DelayS:   (float64(peak-before) + fine) / h.RateHz,
		Inverted: value < 0,
		// both sums run over one side of the spectrum
		Likeness: math.Min(1, math.Abs(value)*float64(n)/2/math.Sqrt(power*reference)),
	}
}

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
	for range 6 {
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
	}
	return lag
}

func norm(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }
