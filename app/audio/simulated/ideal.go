package simulated

import (
	"math"

	"stillroom/app/audio/simulated/bandlimited"
)

// ideal is a subject whose behaviour is known in closed form: biquads run as the
// published recursion at the sample rate, and between them a memoryless polynomial
// run on a finer grid, so that its products make no alias in the band.
type ideal struct {
	before, after []section
	// polynomial[i] weighs the (i+1)-th power; none: the signal as it is.
	polynomial []float64
}

// sound returns the spectrum of what the subject makes of the played samples.
func (d *ideal) sound(f *bandlimited.Frame, played []float64) []complex128 {
	x := make([]float64, f.Len())
	copy(x, played)
	for _, s := range d.before {
		s.run(x)
	}
	out := f.Spectrum(x)
	if len(d.polynomial) > 0 {
		times := d.finer()
		fine := f.Finer(out, times)
		for n, v := range fine {
			fine[n] = d.value(v)
		}
		out = f.Coarser(fine, times)
	}
	if len(d.after) == 0 {
		return out
	}
	x = f.Signal(out)
	for _, s := range d.after {
		s.run(x)
	}
	return f.Spectrum(x)
}

// value is the polynomial, by Horner's rule. It is 0 at rest.
func (d *ideal) value(x float64) float64 {
	var sum float64
	for i := len(d.polynomial) - 1; i >= 0; i-- {
		sum = (sum + d.polynomial[i]) * x
	}
	return sum
}

// finer is the number of times that the grid of the polynomial is finer than the
// samples: an n-th power reaches n times as high, and on a grid m times finer it
// folds back to 2m-n times half the rate, which is out of the band from
// m = (n+1)/2 up.
func (d *ideal) finer() int {
	switch n := len(d.polynomial); {
	case n <= 7:
		return 4
	case n <= 15:
		return 8
	}
	return 16
}

func (d *ideal) response(hz, rateHz float64) complex128 {
	h := through(d.before, hz, rateHz) * through(d.after, hz, rateHz)
	if len(d.polynomial) > 0 {
		h *= complex(d.polynomial[0], 0)
	}
	return h
}

// harmonic is the complex amplitude c of one order when A sin(2πf₀t) is played: that
// order is the imaginary part of c e^{j2π·order·f₀·t}. By the binomial expansion of
// ((e^{jθ} − e^{−jθ})/2j)^n.
func (d *ideal) harmonic(f0Hz float64, order int, peakFS, rateHz float64) complex128 {
	if float64(order)*f0Hz >= rateHz/2 || order < 1 {
		return 0
	}
	pre := through(d.before, f0Hz, rateHz)
	a := peakFS * math.Hypot(real(pre), imag(pre))
	phase := math.Atan2(imag(pre), real(pre))
	var sum complex128
	for n := order; n <= max(len(d.polynomial), 1); n += 2 {
		sum += complex(d.weight(n)*math.Pow(a, float64(n)), 0) * sinePower(n, order)
	}
	sin, cos := math.Sincos(float64(order) * phase)
	return sum * complex(cos, sin) * through(d.after, float64(order)*f0Hz, rateHz)
}

func (d *ideal) weight(power int) float64 {
	if len(d.polynomial) == 0 {
		return 1 // a wire: only the first power is asked for
	}
	return d.polynomial[power-1]
}

// sinePower is 2j times the factor of e^{jmθ} in sinⁿθ: (2j)^{1−n} C(n,(n−m)/2) (−1)^{(n−m)/2}.
func sinePower(n, m int) complex128 {
	i := (n - m) / 2
	c := 1.0
	for k := 1; k <= i; k++ {
		c *= float64(n-k+1) / float64(k)
	}
	if i%2 == 1 {
		c = -c
	}
	out := complex(c, 0)
	for range n - 1 {
		out /= 2i
	}
	return out
}
