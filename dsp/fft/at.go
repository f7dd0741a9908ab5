package fft

import "math"

// Widths of the kernel, in bins of a transform of at least twice the signal's
// length, and its shape for a width (J. A. Fessler and B. P. Sutton, "Nonuniform fast
// Fourier transforms using min-max interpolation", IEEE Trans. Signal Process. 51,
// 2003, section IV).
const (
	fullWidth     = 13
	quickWidth    = 8
	shapePerWidth = 2.34
)

// At returns the spectrum of seq at the given frequencies, in cycles per sample
// from 0 to 0.5:
//
//	X(f) = Σ_n seq[n] e^{-j2πf(n+origin)}
//
// where origin is the place of seq[0] on the time axis, in samples. It agrees with
// the direct sum to 1e-12 of Σ|seq|, at the cost of one transform of about twice
// the length: a Kaiser–Bessel interpolation between its bins.
func At(seq []float64, origin float64, f []float64) []complex128 {
	return at(seq, origin, f, fullWidth)
}

// QuickAt is At to 1e-7 of Σ|seq|, in less than half the time: for averages of power.
func QuickAt(seq []float64, origin float64, f []float64) []complex128 {
	return at(seq, origin, f, quickWidth)
}

func at(seq []float64, origin float64, f []float64, width int) []complex128 {
	out := make([]complex128, len(f))
	if len(seq) == 0 {
		return out
	}
	k := newKernel(width)
	m := GoodLength(2 * len(seq))
	centre := len(seq) / 2
	u := make([]float64, m)
	for d := 0; d <= centre; d++ { // the kernel's transform is even
		w := 1 / k.transform(float64(d)/float64(m))
		if n := centre + d; n < len(seq) {
			u[d] = seq[n] * w
		}
		if d > 0 {
			u[m-d] = seq[centre-d] * w
		}
	}
	bins := NewReal(m).Coefficients(nil, u)
	for i, fi := range f {
		if fi < 0 || fi > 0.5 {
			panic("fft: frequency outside 0 to half the sample rate")
		}
		sin, cos := math.Sincos(-2 * math.Pi * fi * (origin + float64(centre)))
		out[i] = k.interpolate(bins, fi*float64(m)) * complex(cos, sin)
	}
	return out
}

// kernel is the Kaiser–Bessel window of a width around 0, as a polynomial in 1−z²: the
// power series of I0, long enough for the shape.
type kernel struct {
	width, shape float64
	coefficients []float64
}

func newKernel(width int) kernel {
	k := kernel{width: float64(width), shape: shapePerWidth * float64(width)}
	q, term, sum := k.shape*k.shape/4, 1/k.width, 0.0
	for n := 1.0; n < k.shape/2 || term > 1e-16*sum; n++ { // terms grow to n = shape/2
		k.coefficients = append(k.coefficients, term)
		sum += term
		term *= q / (n * n)
	}
	return k
}

// at returns the kernel x bins from its middle.
func (k kernel) at(x float64) float64 {
	u := 1 - 4*x*x/(k.width*k.width)
	if u <= 0 {
		return 0
	}
	sum := 0.0
	for i := len(k.coefficients) - 1; i >= 0; i-- {
		sum = sum*u + k.coefficients[i]
	}
	return sum
}

// interpolate returns the spectrum at x bins.
func (k kernel) interpolate(bins []complex128, x float64) complex128 {
	last := len(bins) - 1
	var sum complex128
	from := int(math.Ceil(x - k.width/2))
	for i := from; i < from+int(k.width); i++ {
		w := k.at(x - float64(i))
		switch {
		case i < 0:
			sum += scale(conj(bins[-i]), w)
		case i > last:
			sum += scale(conj(bins[2*last-i]), w)
		default:
			sum += scale(bins[i], w)
		}
	}
	return sum
}

func conj(z complex128) complex128 { return complex(real(z), -imag(z)) }

// transform is the Fourier transform of the kernel at xi cycles per bin.
func (k kernel) transform(xi float64) float64 {
	a := math.Pi * k.width * xi
	r := math.Sqrt(k.shape*k.shape - a*a)
	return math.Sinh(r) / r
}

// BesselI0 is the modified Bessel function of the first kind and order zero, by
// its power series (Abramowitz and Stegun 9.6.12), which loses nothing to
// cancellation for real arguments.
func BesselI0(x float64) float64 {
	sum, term := 1.0, 1.0
	q := x * x / 4
	for k := 1.0; term > 1e-17*sum; k++ {
		term *= q / (k * k)
		sum += term
	}
	return sum
}
