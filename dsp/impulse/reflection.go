package impulse

import (
	"math"
	"slices"

	"stillroom/dsp/excitation"
	"stillroom/dsp/fft"
)

// Reflection is a later arrival of the same sound.
type Reflection struct {
	DelayS  float64 // after the direct sound
	LevelDB float64 // re the direct sound, 0.6 to 15 kHz
}

// Search for the first reflection: where, above what, and how far out of its
// surroundings. Chosen on simulated rooms and confirmed on fresh ones; see
// TestFirstReflection for how often it is right.
const (
	directS      = 0.0017 // the direct sound is over by then
	searchFromS  = 0.0018
	searchToS    = 0.012
	thresholdDB  = -28
	contrastDB   = 9
	localS       = 0.0002
	surroundingS = 0.0012
	upsampling   = 4
)

// FirstReflection proposes the first reflection in h after the direct sound at
// zeroS. The response is whitened by its own direct sound, limited to 0.6–15 kHz,
// and the earliest peak of its envelope that is high enough and stands out of its
// surroundings is taken. ok is false where there is none.
func FirstReflection(h *Impulse, zeroS float64) (r Reflection, ok bool) {
	e := whitened(h, zeroS)
	rate := h.RateHz * upsampling
	local, around := int(localS*rate), int(surroundingS*rate)
	for i := int(searchFromS * rate); i < int(searchToS*rate) && i+around < len(e); i++ {
		if e[i] < thresholdDB || e[i] < maxOf(e[i-local:i+local+1]) {
			continue
		}
		from := max(i-around, int(0.001*rate))
		if e[i]-medianOf(e[from:i+around]) >= contrastDB {
			return Reflection{DelayS: float64(i) / rate, LevelDB: e[i]}, true
		}
	}
	return Reflection{}, false
}

// whitened returns the envelope, in dB re the direct sound, of the response
// divided by its own direct sound, from time zero on.
func whitened(h *Impulse, zeroS float64) []float64 {
	zero := int(math.Round(zeroS * h.RateHz))
	lead := int(0.002 * h.RateHz)
	x := h.Cut(zero-lead, zero+int(0.04*h.RateHz))
	direct := make([]float64, len(x))
	g := Gate{OpenS: -0.0005, CloseS: directS, OpenTaperS: 0.00025, CloseTaperS: 0.4 * directS}
	for i, v := range x {
		direct[i] = v * g.At(float64(i-lead)/h.RateHz)
	}
	n := fft.GoodLength(2 * len(x))
	plan := fft.NewReal(n)
	d, y := plan.Coefficients(nil, direct), plan.Coefficients(nil, x)
	df := h.RateHz / float64(n)
	peak := 0.0
	for k, v := range d {
		if f := float64(k) * df; f > 1000 && f < 12000 {
			peak = math.Max(peak, norm(v))
		}
	}
	m := n * upsampling
	up := fft.NewReal(m)
	bins := make([]complex128, m/2+1)
	for k := range y {
		f := float64(k) * df
		b := excitation.RaisedCosine((f-600)/800) * excitation.RaisedCosine((15000-f)/6000)
		q := b / (norm(d[k]) + 0.01*peak + math.SmallestNonzeroFloat64)
		bins[k] = y[k] * complex(real(d[k])*q, -imag(d[k])*q)
	}
	return envelopeDB(up, bins, int(0.015*h.RateHz*upsampling))
}

// envelopeDB is the magnitude of the analytic signal of a spectrum, in dB re its
// value around time zero, for the first frames samples.
func envelopeDB(plan *fft.Real, bins []complex128, frames int) []float64 {
	re := plan.Sequence(nil, bins)
	for k, v := range bins {
		bins[k] = complex(imag(v), -real(v))
	}
	im := plan.Sequence(nil, bins)
	out := make([]float64, min(frames, len(re)))
	for i := range out {
		out[i] = 10 * math.Log10(re[i]*re[i]+im[i]*im[i]+math.SmallestNonzeroFloat64)
	}
	top := maxOf(out[:min(8, len(out))])
	for i := range out {
		out[i] -= top
	}
	return out
}

func maxOf(v []float64) float64 {
	m := math.Inf(-1)
	for _, x := range v {
		m = math.Max(m, x)
	}
	return m
}

func medianOf(v []float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)/2]
}
