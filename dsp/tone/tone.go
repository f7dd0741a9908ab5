package tone

import (
	"fmt"
	"math"
	"math/cmplx"
)

// Tone is what a steady tone was found to be. Levels are in the unit of the
// samples; a full-scale sine has an RMS of 1/√2.
type Tone struct {
	FrequencyHz float64
	RMS         float64   // of the fundamental
	Harmonics   []float64 // RMS of orders 2 to HighestOrder, as far as the sample rate carries them
	DC          float64   // mean, under the window
	NoiseRMS    float64   // of all that is neither mean, fundamental nor harmonic
	Peak        float64   // highest magnitude of the samples

	// BlockS is the length of one block, and LevelDB the level of the fundamental in
	// each, re the level of the whole.
	BlockS  float64
	LevelDB []float64
}

// HighestOrder is the highest harmonic that counts as distortion.
const HighestOrder = 10

// Needs of Analyse.
const (
	leastCycles = 20  // in the whole
	blockCycles = 10  // in a block, at least
	leastBlockS = 0.1 // of a block, where the signal has at least four of them
	leastBlocks = 4
)

// THD is the total harmonic distortion: the root of the sum of the squares of the
// harmonics, re the fundamental.
func (t Tone) THD() float64 {
	sum := 0.0
	for _, h := range t.Harmonics {
		sum += h * h
	}
	return math.Sqrt(sum) / t.RMS
}

// SNRDB is the level of the fundamental over NoiseRMS.
func (t Tone) SNRDB() float64 { return 20 * math.Log10(t.RMS/t.NoiseRMS) }

// SpreadDB is the standard deviation of the level from block to block.
func (t Tone) SpreadDB() float64 {
	mean, n := 0.0, float64(len(t.LevelDB))
	for _, l := range t.LevelDB {
		mean += l / n
	}
	sum := 0.0
	for _, l := range t.LevelDB {
		sum += (l - mean) * (l - mean)
	}
	return math.Sqrt(sum / (n - 1))
}

// RangeDB is the highest level of a block less the lowest.
func (t Tone) RangeDB() float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, l := range t.LevelDB {
		low, high = math.Min(low, l), math.Max(high, l)
	}
	return high - low
}

// Analyse reads the strongest tone between lowHz and highHz. It fails, with a line
// that says why, where there is none: the samples are silent, or they hold fewer
// than 20 cycles. It panics unless 0 < lowHz < highHz < rateHz/2.
//
// The frequency is that of the largest bin of a Hann-windowed spectrum, made finer
// by the turn of phase between two overlapping parts (phase vocoder; M. S. Puckette
// and J. C. Brown, "Accuracy of frequency estimates using the phase vocoder", IEEE
// Trans. Speech Audio Process. 6(2), 1998). The amplitude at f is
//
//	2 |Σ w[n] x[n] e^{-j2πfn/fs}| / Σ w[n]
//
// under the same window, whose side lobes fall by 18 dB an octave: from 20 cycles
// on, neither the mean nor the mirror image nor the harmonics change it by more than
// 0.001 dB. In white noise its relative deviation is (σ/A)√(3/N) for N samples of
// noise σ and a tone of peak A. What is left when mean, fundamental and harmonics
// are taken away is noise.
func Analyse(samples []float64, rateHz, lowHz, highHz float64) (Tone, error) {
	if !(lowHz > 0 && lowHz < highHz && highHz < rateHz/2) {
		panic(fmt.Sprintf("tone: band of %g to %g Hz at a sample rate of %g Hz", lowHz, highHz, rateHz))
	}
	if float64(len(samples)) < leastCycles*rateHz/highHz || len(samples) < 64 {
		return Tone{}, fmt.Errorf("%d samples are too few to read a tone from", len(samples))
	}
	t := Tone{DC: meanOf(samples), Peak: peak(samples)}
	x := make([]float64, len(samples))
	for n, v := range samples {
		x[n] = v - t.DC
	}
	if peak(x) == 0 {
		return Tone{}, fmt.Errorf("there is no tone, only silence")
	}
	t.FrequencyHz = finest(x, rateHz, strongest(x, rateHz, lowHz, highHz))
	if cycles := t.FrequencyHz * float64(len(x)) / rateHz; !(cycles >= leastCycles) {
		return Tone{}, fmt.Errorf("%.1f cycles of %.2f Hz are too few to read a tone from: listen longer", cycles, t.FrequencyHz)
	}
	t.takeApart(x, rateHz)
	t.blocks(x, rateHz)
	return t, nil
}

// takeApart reads fundamental and harmonics, and what is left.
func (t *Tone) takeApart(x []float64, rateHz float64) {
	rest := append([]float64(nil), x...)
	for order := 1; order <= HighestOrder; order++ {
		hz := t.FrequencyHz * float64(order)
		if hz > 0.49*rateHz {
			break
		}
		a := Line(x, rateHz, hz)
		subtract(rest, rateHz, hz, a)
		if rms := cmplx.Abs(a) / math.Sqrt2; order == 1 {
			t.RMS = rms
		} else {
			t.Harmonics = append(t.Harmonics, rms)
		}
	}
	t.NoiseRMS = rms(rest)
}

// blocks reads the level over time.
func (t *Tone) blocks(x []float64, rateHz float64) {
	length := math.Max(leastBlockS, blockCycles/t.FrequencyHz)
	n := min(int(length*rateHz), len(x)/leastBlocks)
	t.BlockS = float64(n) / rateHz
	for from := 0; from+n <= len(x); from += n {
		a := cmplx.Abs(Line(x[from:from+n], rateHz, t.FrequencyHz)) / math.Sqrt2
		t.LevelDB = append(t.LevelDB, 20*math.Log10(a/t.RMS))
	}
}
