package octave

import (
	"math"

	"stillroom/dsp/fft"
	"stillroom/dsp/impulse"
)

// Energies returns the energy Σx² of a signal in each band, as a filter that passes
// all inside the band and nothing outside would leave it:
//
//	E = 2 ∫ |X(f)|² df from the lower to the upper edge, f in cycles per sample
//
// The integral is exact, by the autocorrelation r of the samples: its antiderivative
// is r₀f + Σ r_m sin(2πfm)/(πm) (Wiener–Khinchin, integrated term by term). A band
// that reaches beyond half the sample rate is NaN; no samples hold no energy.
func Energies(samples []float64, rateHz float64, bands []Band) []float64 {
	out := make([]float64, len(bands))
	r := autocorrelation(samples)
	edges := make([]float64, 0, 2*len(bands))
	for _, b := range bands {
		edges = append(edges, math.Min(b.LowHz/rateHz, 0.5), math.Min(b.HighHz/rateHz, 0.5))
	}
	sine := make([]float64, max(len(r)-1, 0))
	for m := range sine {
		sine[m] = r[m+1] / (math.Pi * float64(m+1))
	}
	sums := fft.At(sine, 1, edges)
	for i, b := range bands {
		switch {
		case b.HighHz > rateHz/2:
			out[i] = math.NaN()
		case len(r) > 0:
			out[i] = 2 * (r[0]*(edges[2*i+1]-edges[2*i]) - imag(sums[2*i+1]) + imag(sums[2*i]))
		}
	}
	return out
}

// autocorrelation is Σ x[n]x[n+m] for lags 0 to len−1.
func autocorrelation(x []float64) []float64 {
	if len(x) == 0 {
		return nil
	}
	plan := fft.NewReal(fft.GoodLength(max(2*len(x), 4)))
	bins := plan.Coefficients(nil, x)
	for k, v := range bins {
		bins[k] = complex(real(v)*real(v)+imag(v)*imag(v), 0)
	}
	return plan.Sequence(nil, bins)[:len(x)]
}

// edgeReach is up to how many times its corner the low edge of an impulse response
// counts: there it still takes 4·10⁻⁸ dB.
const edgeReach = 10

// PieceEnergies is Energies for a gated piece of an impulse response, its low edge
// divided out. Bands that the edge touches are integrated numerically, by five points
// of Gauss and Legendre (Abramowitz and Stegun 25.4.30) on stretches on which the
// spectrum turns by half a period at most; a band below a third of the edge's corner
// is NaN.
//
// The mean of |H|² over a band, with equal weight for equal width in Hz, is the
// energy times rate/(2·width).
func PieceEnergies(p impulse.Piece, bands []Band) []float64 {
	out := Energies(p.Samples, p.RateHz, bands)
	for i, b := range bands {
		if b.LowHz < edgeReach*p.Edge.CornerHz && b.HighHz <= p.RateHz/2 {
			out[i] = edgeless(p, b)
		}
	}
	return out
}

// edgeless integrates one band of a piece without its edge.
func edgeless(p impulse.Piece, b Band) float64 {
	f, weight := gaussPoints(b, p.RateHz/float64(2*max(len(p.Samples), 1)))
	power := make([]float64, len(f))
	cycles := make([]float64, len(f))
	for i := range f {
		cycles[i] = f[i] / p.RateHz
	}
	for i, v := range fft.At(p.Samples, p.Origin, cycles) {
		power[i] = real(v)*real(v) + imag(v)*imag(v)
	}
	p.Edge.UndoPower(f, power)
	sum := 0.0
	for i, v := range power {
		sum += weight[i] * v
	}
	return 2 * sum / p.RateHz
}

// gaussPoints cuts a band into stretches of widestHz or an eighth of their frequency,
// and returns points and weights for all of them, in Hz.
func gaussPoints(b Band, widestHz float64) (f, weight []float64) {
	inner, outer := math.Sqrt(5-2*math.Sqrt(10.0/7))/3, math.Sqrt(5+2*math.Sqrt(10.0/7))/3
	heavy, light := (322+13*math.Sqrt(70))/900, (322-13*math.Sqrt(70))/900
	node := [5]float64{-outer, -inner, 0, inner, outer}
	share := [5]float64{light, heavy, 128.0 / 225, heavy, light}
	stretches := math.Ceil((b.HighHz - b.LowHz) / math.Min(widestHz, b.LowHz/8))
	half := (b.HighHz - b.LowHz) / stretches / 2
	for k := range int(stretches) {
		middle := b.LowHz + float64(2*k+1)*half
		for j := range node {
			f, weight = append(f, middle+node[j]*half), append(weight, share[j]*half)
		}
	}
	return f, weight
}
