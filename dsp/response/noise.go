package response

import (
	"math"

	"stillroom/dsp/fft"
)

// Density is the power density of a noise, by frequency.
type Density struct {
	widthHz float64
	perHz   []float64 // one-sided, mean square per Hz
}

// noiseSegmentS is the length of the pieces that are averaged: 5 Hz apart.
const noiseSegmentS = 0.2

// DensityOf estimates the power density of x by averaging Hann-windowed pieces that
// overlap by half (P. D. Welch, IEEE Trans. Audio Electroacoust. 15, 1967). The
// mean of x is taken out first. It returns a density of 0 where x is shorter than
// two samples.
func DensityOf(x []float64, rateHz float64) Density {
	length := min(int(noiseSegmentS*rateHz), len(x))
	if length < 2 {
		return Density{widthHz: rateHz, perHz: []float64{0, 0}}
	}
	n := fft.GoodLength(length)
	plan := fft.NewReal(n)
	piece := make([]float64, length)
	var bins []complex128
	sum := make([]float64, n/2+1)
	mean, pieces, gain := average(x), 0, 0.0
	for at := 0; at+length <= len(x); at += max(1, length/2) {
		gain = 0
		for i := range piece {
			w := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(length))
			piece[i] = w * (x[at+i] - mean)
			gain += w * w
		}
		bins = plan.Coefficients(bins, piece)
		for k, v := range bins {
			sum[k] += real(v)*real(v) + imag(v)*imag(v)
		}
		pieces++
	}
	for k := range sum {
		sum[k] *= 2 / (float64(pieces) * gain * rateHz)
	}
	return Density{widthHz: rateHz / float64(n), perHz: sum}
}

func average(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// At returns the density at f, mean square per Hz, smoothed over a third of an
// octave or over three bins, whichever is wider.
func (d Density) At(f float64) float64 {
	half := math.Max(f*(math.Pow(2, 1.0/6)-math.Pow(2, -1.0/6))/2, 1.5*d.widthHz)
	lo := max(1, int(math.Round((f-half)/d.widthHz)))
	hi := min(len(d.perHz)-1, int(math.Round((f+half)/d.widthHz)))
	sum, n := 0.0, 0
	for k := lo; k <= hi; k++ {
		sum += d.perHz[k]
		n++
	}
	if n == 0 {
		return d.perHz[len(d.perHz)-1]
	}
	return sum / float64(n)
}

// Band returns the mean square between two frequencies.
func (d Density) Band(fromHz, toHz float64) float64 {
	sum := 0.0
	for k, p := range d.perHz {
		lo := math.Max(fromHz, (float64(k)-0.5)*d.widthHz)
		hi := math.Min(toHz, (float64(k)+0.5)*d.widthHz)
		if hi > lo {
			sum += p * (hi - lo)
		}
	}
	return sum
}

// Seen returns the power that this noise alone shows at f in a deconvolved and
// windowed response: σ² S/|X|², where σ² = density·fs/2 is the variance per sample
// of white noise of that density, S the sum of the squared window and |X|² the
// density of the stimulus as a DFT gives it.
func (d Density) Seen(f, rateHz, window2, stimulus float64) float64 {
	return d.At(f) * rateHz / 2 * window2 / stimulus
}
