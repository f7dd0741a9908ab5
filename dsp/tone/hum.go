package tone

import (
	"math"
	"math/cmplx"
	"slices"

	"stillroom/dsp/fft"
)

// Hum is the hum of the mains in a quiet recording.
type Hum struct {
	MainsHz float64   // 50 or 60 as measured, such as 49.98; 0: none stands out
	RMS     float64   // of those multiples together that stand out
	Lines   []float64 // RMS of each multiple from the first on; 0 where it does not stand out
}

const (
	humLines    = 12   // multiples looked at
	humFollowed = 4    // multiples that tell the mains frequency
	humWanderHz = 0.25 // from nominal: more than a large grid does on a bad day
	clearRatio  = 5.0  // of a line over the noise beside it, as amplitudes: 14 dB
	beside      = 4    // places on each side where that noise is read
)

// FindHum looks for 50 or 60 Hz, each within 0.25 Hz, and their multiples to the
// 12th. A multiple counts where it is 14 dB or more above the noise on each side of
// it, read 3 to 7.5 bins away. The recording should last 0.5 s or more; FindHum
// panics where it has fewer than 64 samples.
func FindHum(samples []float64, rateHz float64) Hum {
	if len(samples) < 64 {
		panic("tone: 64 samples or more are needed to find hum")
	}
	s := newSpectrum(samples, rateHz)
	best := Hum{}
	for _, nominal := range []float64{50, 60} {
		if h := s.hum(nominal); h.RMS > best.RMS {
			best = h
		}
	}
	return best
}

// spectrum gives amplitudes of a recording under a Hann window at any frequency.
type spectrum struct {
	windowed []float64
	weight   float64
	rateHz   float64
	widthHz  float64 // of one bin
}

func newSpectrum(samples []float64, rateHz float64) spectrum {
	s := spectrum{rateHz: rateHz, widthHz: rateHz / float64(len(samples))}
	s.windowed, s.weight = windowed(samples, meanOf(samples))
	return s
}

// at returns the peaks of sines at frequencies in Hz; 0 outside what the rate carries.
func (s spectrum) at(frequencyHz []float64) []float64 {
	f := make([]float64, len(frequencyHz))
	for i, hz := range frequencyHz {
		f[i] = math.Min(math.Max(hz/s.rateHz, 0), 0.5)
	}
	out := make([]float64, len(f))
	for i, v := range fft.At(s.windowed, 0, f) {
		if f[i] > 0 && f[i] < 0.49 {
			out[i] = 2 * cmplx.Abs(v) / s.weight
		}
	}
	return out
}

// hum reads all multiples of the mains frequency near a nominal one.
func (s spectrum) hum(nominal float64) Hum {
	h := Hum{MainsHz: s.follow(nominal), Lines: make([]float64, humLines)}
	var places []float64
	for i := range h.Lines {
		places = append(places, s.around(h.MainsHz*float64(i+1))...)
	}
	read := s.at(places)
	sum, each := 0.0, len(read)/humLines
	for i := range h.Lines {
		if a := read[i*each : (i+1)*each]; stands(a) {
			h.Lines[i] = a[0] / math.Sqrt2
			sum += a[0] * a[0] / 2
		}
	}
	h.RMS = math.Sqrt(sum)
	if sum == 0 {
		h.MainsHz = 0
	}
	return h
}

// follow searches the mains frequency around its nominal value, by the power of its
// first multiples.
func (s spectrum) follow(nominal float64) float64 {
	step := math.Max(0.02*s.widthHz, humWanderHz/200)
	reach := int(math.Ceil(humWanderHz / step))
	var mains, lines []float64
	for k := -reach; k <= reach; k++ {
		hz := nominal + float64(k)*step
		mains = append(mains, hz)
		for i := range humFollowed {
			lines = append(lines, hz*float64(i+1))
		}
	}
	best, at := -1.0, nominal
	for i, a := range sumSquares(s.at(lines), humFollowed) {
		if a > best {
			best, at = a, mains[i]
		}
	}
	return at
}

// sumSquares adds up the squares of each group of n.
func sumSquares(x []float64, n int) []float64 {
	out := make([]float64, len(x)/n)
	for i := range out {
		for _, v := range x[i*n : (i+1)*n] {
			out[i] += v * v
		}
	}
	return out
}

// around is the place of a line, and those beside it: below, then above.
func (s spectrum) around(hz float64) []float64 {
	f := []float64{hz}
	for _, side := range []float64{-1, 1} {
		for i := range beside {
			f = append(f, hz+side*s.widthHz*(3+1.5*float64(i)))
		}
	}
	return f
}

// stands tells whether a line stands out on both sides. Where a side lies outside
// what the rate carries, nothing is known of it.
func stands(a []float64) bool {
	if slices.Contains(a, 0) {
		return false
	}
	for _, noise := range sumSquares(a[1:], beside) {
		if a[0]*a[0] < clearRatio*clearRatio*noise/beside {
			return false
		}
	}
	return true
}
