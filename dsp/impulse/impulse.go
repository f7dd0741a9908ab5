package impulse

import (
	"math"

	"stillroom/dsp/excitation"
	"stillroom/dsp/fft"
)

// Impulse is an impulse response as the deconvolution leaves it: circular, lag 0
// at sample 0, later lags after it, earlier ones (the harmonics) at the end.
type Impulse struct {
	Samples []float64
	RateHz  float64
	Band    Band // of the stimulus; its Edge stands in the samples
}

// Edge returns the causal low edge that stands in the samples.
func (h *Impulse) Edge() Edge { return Edge{h.Band.EdgeHz} }

// Cut returns the samples from ≤ lag < to, wrapping around.
func (h *Impulse) Cut(from, to int) []float64 {
	n := len(h.Samples)
	out := make([]float64, to-from)
	for i := range out {
		out[i] = h.Samples[((from+i)%n+n)%n]
	}
	return out
}

// Peak returns the lag, in samples from −n/2 to n/2, of the largest magnitude.
func (h *Impulse) Peak() int {
	lag, _ := peakOf(h.Samples)
	return lag
}

// Gate is a window on an impulse response. Times count from time zero, in
// seconds; the tapers lie inside: the window rises from OpenS over OpenTaperS,
// stays 1, and falls over CloseTaperS to 0 at CloseS, each by half a Hann window.
type Gate struct {
	OpenS       float64
	CloseS      float64
	OpenTaperS  float64
	CloseTaperS float64
}

// At returns the window at time t.
func (g Gate) At(t float64) float64 {
	w := 1.0
	if t < g.OpenS || t > g.CloseS {
		return 0
	}
	if g.OpenTaperS > 0 {
		w *= excitation.RaisedCosine((t - g.OpenS) / g.OpenTaperS)
	}
	if g.CloseTaperS > 0 {
		w *= excitation.RaisedCosine((g.CloseS - t) / g.CloseTaperS)
	}
	return w
}

// Gated returns the piece of the impulse response inside the gate. zeroS is where
// the time zero of the gate lies, as a lag in seconds.
func (h *Impulse) Gated(zeroS float64, g Gate) Piece {
	from := int(math.Ceil((zeroS + g.OpenS) * h.RateHz))
	to := int(math.Floor((zeroS+g.CloseS)*h.RateHz)) + 1
	p := Piece{Samples: h.Cut(from, max(to, from)), RateHz: h.RateHz, Edge: h.Edge(),
		Origin: float64(from) - zeroS*h.RateHz}
	for i := range p.Samples {
		w := g.At((p.Origin + float64(i)) / h.RateHz)
		p.Samples[i] *= w
		p.Window2 += w * w
	}
	return p
}

// Piece is a windowed part of an impulse response.
type Piece struct {
	Samples []float64
	Origin  float64 // of Samples[0] on the time axis, in samples
	RateHz  float64
	Edge    Edge    // stands in the samples
	Window2 float64 // Σw² of the window: what white noise gains in it
}

// Spectrum returns the complex spectrum at frequencies in Hz, the low edge divided
// out.
func (p Piece) Spectrum(frequencyHz []float64) []complex128 {
	f := make([]float64, len(frequencyHz))
	for i, hz := range frequencyHz {
		f[i] = hz / p.RateHz
	}
	out := fft.At(p.Samples, p.Origin, f)
	p.Edge.Undo(frequencyHz, out)
	return out
}
