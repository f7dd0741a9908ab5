package impulse

import "math"

// Width is how wide a mean of power over frequency is, around each frequency. The
// zero value is no mean at all.
type Width struct {
	perOctave int
	erb       bool
}

// Octave is a width of 1/fraction of an octave, the octave being 2: from
// f·2^(−1/(2·fraction)) to f·2^(1/(2·fraction)). In use are 1, 3, 6, 12, 24 and 48;
// 0 is no mean at all. It panics below 0.
func Octave(fraction int) Width {
	if fraction < 0 {
		panic("impulse: a mean over less than nothing")
	}
	return Width{perOctave: fraction}
}

// ERB is one equivalent rectangular bandwidth of the ear wide (see ERBHz), from f/k
// to f·k, so that it lies around f on a log scale as the octaves do.
func ERB() Width { return Width{erb: true} }

// ERBHz is the equivalent rectangular bandwidth of the auditory filter at f Hz, in
// Hz, for young ears at moderate levels: 24.7 (4.37 f/1000 + 1) (B. R. Glasberg and
// B. C. J. Moore, "Derivation of auditory filter shapes from notched-noise data",
// Hearing Research 47, 1990, equation 3).
func ERBHz(f float64) float64 { return 24.7 * (4.37*f/1000 + 1) }

// None tells whether nothing is averaged.
func (w Width) None() bool { return !w.erb && w.perOctave == 0 }

// half is the natural logarithm of half the window at f: it reaches from f·e^(−half)
// to f·e^half.
func (w Width) half(f float64) float64 {
	switch {
	case w.erb:
		return math.Asinh(ERBHz(f) / (2 * f)) // f·2·sinh(half) wide
	case w.perOctave > 0:
		return math.Ln2 / 2 / float64(w.perOctave)
	}
	return 0
}

// Around is the averaging window around f in Hz, shrunk on both sides alike to stay
// in the band; outside the band it is f alone.
func (w Width) Around(f, lowHz, highHz float64) (lo, hi float64) {
	half := math.Max(0, math.Min(w.half(f), math.Min(math.Log(f/lowHz), math.Log(highHz/f))))
	k := math.Exp(half)
	return f / k, f * k
}
