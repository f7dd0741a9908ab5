package response

import (
	"math"

	"stillroom/dsp/fft"
	"stillroom/dsp/impulse"
)

// cepstrumS is how long the cepstrum is, in seconds. Circular cepstra alias: a
// resonance at f0 of quality Q leaves an error of about e^(−π f0 t/(2Q)) for a length
// t (the pole has the radius r = e^(−π f0/(Q fs)), and the error is of order r^(N/2);
// closed form in testdata/phase_closed_forms.json). At 20 Hz and Q 10 that is 4·10⁻⁸.
const cepstrumS = 5.4

// Tails is how a magnitude goes on outside the band it is known in, in dB per octave
// of rising frequency: a closed box has Low 12, a vented one 24. The minimum phase near
// an end of the band depends on what lies beyond, so the caller says what he believes.
type Tails struct {
	LowDBPerOctave  float64 // below the band, 0 or more
	HighDBPerOctave float64 // above it up to half the sample rate, 0 or less
}

// dbPerOctave is the slope of one power of frequency: 20 lg 2.
const dbPerOctave = 6.020599913279624

// MinimumPhaseDeg returns the phase, in degrees and not wrapped, of the minimum-phase
// system with the level given in dB at rising frequencies in Hz, at those frequencies:
// by the cepstrum of the log magnitude, folded onto positive time (A. V. Oppenheim and
// R. W. Schafer, "Discrete-Time Signal Processing", section 13.5).
//
// rateHz is the sample rate of the system, whose phase ends at a multiple of 180° at half
// of it. An analogue system of the same magnitude differs by what is nearly a delay
// (0.4 µs for a high-pass at 1 kHz and 48 kHz), with the square of the rate: give four
// times the rate where that matters. Points that are not finite, or lie above
// half the rate, are left out, and are NaN in the result; the first and the last
// number are the ends of the band. Gaps between are bridged. Between points the level
// is a cubic over log frequency. Fewer than 4 numbers give NaN. It panics where the
// lengths differ.
func MinimumPhaseDeg(frequencyHz, levelDB []float64, rateHz float64, t Tails) []float64 {
	sameLength(len(frequencyHz), len(levelDB))
	var f, level []float64
	for i, db := range levelDB {
		if !math.IsNaN(db) && !math.IsInf(db, 0) && frequencyHz[i] > 0 && frequencyHz[i] <= rateHz/2 {
			f, level = append(f, frequencyHz[i]), append(level, db)
		}
	}
	if len(f) < 4 {
		return mask(frequencyHz, make([]float64, len(levelDB)), 1, 0)
	}
	c := newCurve(f, level)
	b := band{low: f[0], high: f[len(f)-1], tails: t}
	plan := fft.NewReal(fft.GoodLength(int(cepstrumS * rateHz)))
	out := b.phaseDeg(plan, rateHz, frequencyHz, c.at)
	for i, db := range levelDB {
		if math.IsNaN(db) || math.IsInf(db, 0) {
			out[i] = math.NaN()
		}
	}
	return out
}

// MinimumPhaseOf is MinimumPhaseDeg for the magnitude of a windowed impulse response
// between lowHz and highHz, at its full resolution, so that reflections count as the
// comb that they are; the low edge is divided out. Outside the band it is NaN.
func MinimumPhaseOf(p impulse.Piece, frequencyHz []float64, lowHz, highHz float64, t Tails) []float64 {
	n := fft.GoodLength(max(int(cepstrumS*p.RateHz), 2*len(p.Samples)))
	plan := fft.NewReal(n)
	bins := plan.Coefficients(nil, p.Samples)
	width := p.RateHz / float64(n)
	first := max(1, int(math.Ceil(math.Max(lowHz, p.Edge.CornerHz/3)/width)))
	last := min(n/2, int(highHz/width))
	if first >= last {
		return mask(frequencyHz, make([]float64, len(frequencyHz)), 1, 0)
	}
	f, power := make([]float64, len(bins)), make([]float64, len(bins))
	for k, v := range bins {
		f[k], power[k] = float64(k)*width, real(v)*real(v)+imag(v)*imag(v)
	}
	p.Edge.UndoPower(f, power)
	top := 0.0
	for _, v := range power[first : last+1] {
		top = math.Max(top, v)
	}
	b := band{low: f[first], high: f[last], tails: t}
	out := b.phaseDeg(plan, p.RateHz, frequencyHz, func(hz float64) float64 {
		return DB(power[int(math.Round(hz/width))] + floor*top + math.SmallestNonzeroFloat64)
	})
	return mask(frequencyHz, out, lowHz, highHz)
}

// floor is how far below the largest power a zero of the spectrum is taken to reach:
// a zero is one bin wide then, as it should be.
const floor = 1e-26

// TailsOf proposes tails from the level itself: its slopes over the half octave at
// either end, by least squares over log frequency, as the nearest whole power of
// frequency, since that is what filters and loudspeakers tend to; from none to the
// eighth, down and out of the band. NaN is passed over. A guess of one power too few or
// too many turns the phase at the end of the band by some 45°: show what was taken.
func TailsOf(frequencyHz, levelDB []float64) Tails {
	lowHz, highHz := ends(frequencyHz, levelDB)
	half := math.Sqrt2
	low := slopeDB(frequencyHz, levelDB, lowHz, lowHz*half)
	high := slopeDB(frequencyHz, levelDB, highHz/half, highHz)
	const steepest = 8
	power := func(slope float64) float64 { return math.Min(steepest, math.Max(0, math.Round(slope/dbPerOctave))) }
	return Tails{dbPerOctave * power(low), 0 - dbPerOctave*power(-high)}
}

// ends returns the first and last frequency where the level is a number.
func ends(f, level []float64) (low, high float64) {
	low, high = math.NaN(), math.NaN()
	for i, v := range level {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		if math.IsNaN(low) {
			low = f[i]
		}
		high = f[i]
	}
	return low, high
}

// slopeDB is the slope in dB per octave between two frequencies; 0 where fewer than
// two points lie there.
func slopeDB(f, level []float64, from, to float64) float64 {
	var n, x, y, xx, xy float64
	for i, hz := range f {
		if hz < from || hz > to || math.IsNaN(level[i]) || math.IsInf(level[i], 0) {
			continue
		}
		u := math.Log2(hz / from)
		n, x, y, xx, xy = n+1, x+u, y+level[i], xx+u*u, xy+u*level[i]
	}
	if n < 2 {
		return 0
	}
	return (n*xy - x*y) / (n*xx - x*x)
}

func mask(f, v []float64, lowHz, highHz float64) []float64 {
	for i := range v {
		if !(f[i] >= lowHz && f[i] <= highHz) {
			v[i] = math.NaN()
		}
	}
	return v
}
