package response

import (
	"math"
	"math/cmplx"
)

// DB is 10 lg of a power ratio: −Inf for 0, NaN for what is not a number.
func DB(power float64) float64 { return 10 * math.Log10(power) }

// LevelsDB returns 10 lg of each power.
func LevelsDB(power []float64) []float64 {
	out := make([]float64, len(power))
	for i, p := range power {
		out[i] = DB(p)
	}
	return out
}

// WrappedDeg returns the phase in degrees, in (−180, 180].
func WrappedDeg(h []complex128) []float64 {
	out := make([]float64, len(h))
	for i, v := range h {
		out[i] = cmplx.Phase(v) * 180 / math.Pi
		if out[i] == -180 {
			out[i] = 180
		}
	}
	return out
}

// UnwrapDeg removes the jumps of a wrapped phase. The curve starts in (−180, 180]
// at its first number and steps by less than 180° from point to point; points that
// are not numbers are passed over.
func UnwrapDeg(wrapped []float64) []float64 {
	out := make([]float64, len(wrapped))
	last := math.NaN()
	for i, p := range wrapped {
		out[i] = p
		if math.IsNaN(p) {
			continue
		}
		if !math.IsNaN(last) {
			out[i] = p - 360*math.Round((p-last)/360)
		}
		last = out[i]
	}
	return out
}

// GroupDelayS returns −dφ/dω in seconds from a response at rising frequencies, by
// the phase of the ratio of neighbouring points (so that nothing has to be
// unwrapped), centred on each point.
func GroupDelayS(frequencyHz []float64, h []complex128) []float64 {
	out := make([]float64, len(h))
	for i := range h {
		a, b := max(i-1, 0), min(i+1, len(h)-1)
		if a == b {
			out[i] = math.NaN()
			continue
		}
		turn := cmplx.Phase(h[b] / h[a])
		if a != i && b != i { // two steps: each below half a turn
			turn = cmplx.Phase(h[i]/h[a]) + cmplx.Phase(h[b]/h[i])
		}
		out[i] = -turn / (2 * math.Pi * (frequencyHz[b] - frequencyHz[a]))
	}
	return out
}

// MeanDB is the level of the mean power over fromHz to toHz, with equal weight for
// equal ratios of frequency (IEC 60268-5:2003, mean sound pressure in a band, on
// the grid's equal logarithmic steps). It is NaN where no point lies inside.
func MeanDB(frequencyHz, levelDB []float64, fromHz, toHz float64) float64 {
	sum, n := 0.0, 0
	for i, f := range frequencyHz {
		if f >= fromHz && f <= toHz && !math.IsNaN(levelDB[i]) {
			sum += math.Pow(10, levelDB[i]/10)
			n++
		}
	}
	if n == 0 {
		return math.NaN()
	}
	return DB(sum / float64(n))
}

// BandEnds returns where the level first falls below limitDB going down and up
// from fromHz and toHz, interpolated on log frequency. An end is NaN where the
// level does not fall below the limit inside [validLow, validHigh].
func BandEnds(frequencyHz, levelDB []float64, fromHz, toHz, limitDB, validLow, validHigh float64) (lowHz, highHz float64) {
	lowHz, highHz = math.NaN(), math.NaN()
	for i := len(frequencyHz) - 2; i >= 0; i-- {
		f := frequencyHz[i]
		if f < fromHz && f >= validLow && levelDB[i] < limitDB {
			lowHz = cross(frequencyHz, levelDB, i, i+1, limitDB)
			break
		}
	}
	for i := 1; i < len(frequencyHz); i++ {
		f := frequencyHz[i]
		if f > toHz && f <= validHigh && levelDB[i] < limitDB {
			highHz = cross(frequencyHz, levelDB, i, i-1, limitDB)
			break
		}
	}
	return lowHz, highHz
}

// cross interpolates where the level passes limit between points a and b.
func cross(f, level []float64, a, b int, limit float64) float64 {
	u := (limit - level[a]) / (level[b] - level[a])
	return f[a] * math.Pow(f[b]/f[a], u)
}
