package impulse

import (
	"math"

	"stillroom/dsp/fft"
)

// SmoothedPower is PowerOver for 1/fraction of an octave; fraction 0 means no
// smoothing.
func (p Piece) SmoothedPower(frequencyHz []float64, fraction int, lowHz, highHz float64) []float64 {
	return p.PowerOver(frequencyHz, Octave(fraction), lowHz, highHz)
}

// PowerOver returns |H(f)|² of the piece, averaged over a width around each
// frequency, the low edge divided out.
//
// The mean gives equal weight to equal width in Hz. Near the ends of the band
// [lowHz, highHz] the window shrinks on both sides alike, so that nothing is
// invented and a slope is not bent. Frequencies outside the band are NaN.
func (p Piece) PowerOver(frequencyHz []float64, w Width, lowHz, highHz float64) []float64 {
	out := make([]float64, len(frequencyHz))
	if w.None() {
		for i, v := range p.Spectrum(frequencyHz) {
			out[i] = norm(v)
		}
		mask(frequencyHz, out, lowHz, highHz)
		return out
	}
	bins := newPowerBins(p)
	var fine []int // windows too narrow for the bins
	for i, f := range frequencyHz {
		if f < lowHz || f > highHz {
			continue
		}
		lo, hi := w.Around(f, lowHz, highHz)
		if hi-lo < 4*bins.width {
			fine = append(fine, i)
			continue
		}
		out[i] = bins.mean(lo, hi)
	}
	p.meanByQuadrature(out, fine, frequencyHz, w, lowHz, highHz, bins.width)
	p.Edge.UndoPower(frequencyHz, out)
	mask(frequencyHz, out, lowHz, highHz)
	return out
}

func mask(f, v []float64, lowHz, highHz float64) {
	for i := range v {
		if f[i] < lowHz || f[i] > highHz {
			v[i] = math.NaN()
		}
	}
}

// meanByQuadrature averages over narrow windows by three points of Gauss and
// Legendre, where the spectrum itself is smooth (Abramowitz and Stegun 25.4.30), and
// takes the middle of those under a tenth of a bin.
func (p Piece) meanByQuadrature(out []float64, which []int, frequencyHz []float64, w Width, lowHz, highHz, binHz float64) {
	if len(which) == 0 {
		return
	}
	node := math.Sqrt(0.6)
	f := make([]float64, 0, 3*len(which))
	single := make([]bool, len(which))
	for j, i := range which {
		lo, hi := w.Around(frequencyHz[i], lowHz, highHz)
		m, h := (lo+hi)/2, (hi-lo)/2
		if single[j] = hi-lo < 0.1*binHz; single[j] {
			f = append(f, m/p.RateHz)
		} else {
			f = append(f, (m-node*h)/p.RateHz, m/p.RateHz, (m+node*h)/p.RateHz)
		}
	}
	for i, v := range f {
		f[i] = math.Min(math.Max(v, 0), 0.5)
	}
	v := fft.QuickAt(p.Samples, p.Origin, f)
	for j, i := range which {
		if single[j] {
			out[i], v = norm(v[0]), v[1:]
			continue
		}
		out[i] = (5*norm(v[0]) + 8*norm(v[1]) + 5*norm(v[2])) / 18
		v = v[3:]
	}
}

// powerBins is a power spectrum as a running integral over frequency.
type powerBins struct {
	width    float64   // of a bin, Hz
	integral []float64 // up to the lower edge of bin k
}

func newPowerBins(p Piece) powerBins {
	n := fft.GoodLength(2 * len(p.Samples))
	x := fft.NewReal(n).Coefficients(nil, p.Samples)
	b := powerBins{width: p.RateHz / float64(n), integral: make([]float64, len(x)+1)}
	for k, v := range x {
		b.integral[k+1] = b.integral[k] + norm(v)*b.width
	}
	return b
}

// mean is the mean power from lo to hi, in Hz; bin k reaches from (k−½) to (k+½)
// widths.
func (b powerBins) mean(lo, hi float64) float64 { return (b.upTo(hi) - b.upTo(lo)) / (hi - lo) }

func (b powerBins) upTo(f float64) float64 {
	x := f/b.width + 0.5
	k := min(max(int(x), 0), len(b.integral)-2)
	u := math.Min(x-float64(k), 1)
	return b.integral[k] + u*(b.integral[k+1]-b.integral[k])
}
