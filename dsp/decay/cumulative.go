package decay

import (
	"fmt"
	"math"

	"stillroom/dsp/fft"
	"stillroom/dsp/impulse"
)

// Cumulative is a cumulative spectral decay over time: the spectrum of what is left of
// the response from each of a row of times on (D. E. L. Shorter, "Loudspeaker transient
// response", BBC Quarterly 1, 1946; L. R. Fincham, AES 50th Convention, 1975; from
// memory).
//
// The window of the slice at t rises from t−RiseS to t by half a Hann window, is 1, and
// falls over FallS to 0 at EndS likewise: what comes after t counts in full, and the
// slice at 0 is the response through the gate that opens RiseS before time zero and
// closes at EndS. The rise is what resolves one slice from the next; a longer one shows
// less of its own side lobes.
type Cumulative struct {
	StepS  float64 // from slice to slice
	Slices int
	RiseS  float64
	EndS   float64 // of the usable response: before a reflection or the noise
	FallS  float64
}

// Surface returns the level in dB of the response in each slice at frequencies in Hz.
// A slice is NaN below 1/(EndS−t), which its length does not resolve, and above half
// the sample rate; slices that begin at EndS or later are NaN throughout.
func (c Cumulative) Surface(h *impulse.Impulse, zeroS float64, frequencyHz []float64) Surface {
	if !(c.StepS > 0) || c.Slices < 1 || !(c.RiseS >= 0) || !(c.EndS > 0) || !(c.FallS >= 0) || c.FallS > c.EndS {
		panic(fmt.Sprintf("decay: no such slices: %+v", c))
	}
	s := newSurface(c.Slices, frequencyHz)
	s.TimesS = steps(c.Slices, c.StepS)
	share(c.Slices, func(i int) {
		t := s.TimesS[i]
		if t < c.EndS {
			p := h.Gated(zeroS, impulse.Gate{OpenS: t - c.RiseS, OpenTaperS: c.RiseS, CloseS: c.EndS, CloseTaperS: c.FallS})
			levels(s.LevelDB[i], p, frequencyHz, 1/(c.EndS-t))
		}
	})
	return s
}

// levels writes the level of a piece at frequencies from lowHz to half the rate.
func levels(dst []float64, p impulse.Piece, frequencyHz []float64, lowHz float64) {
	var which []int
	var f, hz []float64
	for k, v := range frequencyHz {
		if v >= lowHz && v <= p.RateHz/2 {
			which, f, hz = append(which, k), append(f, v/p.RateHz), append(hz, v)
		}
	}
	power := make([]float64, len(f))
	for k, v := range fft.QuickAt(p.Samples, p.Origin, f) {
		power[k] = real(v)*real(v) + imag(v)*imag(v)
	}
	p.Edge.UndoPower(hz, power)
	for k, i := range which {
		dst[i] = 10 * math.Log10(power[k])
	}
}
