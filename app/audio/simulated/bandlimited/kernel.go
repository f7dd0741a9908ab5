package bandlimited

import (
	"math"

	"stillroom/dsp/fft"
)

// phases is how many places between two samples a kernel knows; between those it
// interpolates linearly, which leaves an error under (π/phases)²/8 = 10⁻⁶ of a
// signal at half the rate, and less below.
const phases = 1024

// Kernel reads between samples with a sinc under a Kaiser window (J. F. Kaiser and
// R. W. Schafer, IEEE Trans. ASSP 28(1), 1980). A Kernel is never changed after it
// is made, so that goroutines can share it.
type Kernel struct {
	half int
	rows [][]float64 // rows[p][i] weighs sample i-half+1 for the place p/phases
}

// NewKernel returns a kernel of 2·half samples; beta is the shape of its window.
func NewKernel(half int, beta float64) *Kernel {
	k := &Kernel{half: half, rows: make([][]float64, phases+1)}
	for p := range k.rows {
		k.rows[p] = make([]float64, 2*half)
		for i := range k.rows[p] {
			t := float64(i-half+1) - float64(p)/phases
			k.rows[p][i] = sinc(t) * kaiser(t/float64(half), beta)
		}
	}
	return k
}

// Half is how many samples on each side of a place the kernel looks at.
func (k *Kernel) Half() int { return k.half }

// At returns the value of x at a place counted in samples. Samples outside x are 0.
func (k *Kernel) At(x []float64, place float64) float64 {
	first, low, high, share := k.weights(place)
	if first < 0 || first+2*k.half > len(x) {
		return k.atEdge(x, first, low, high, share)
	}
	var a, b float64
	for i, v := range x[first : first+2*k.half] {
		a += v * low[i]
		b += v * high[i]
	}
	return a + share*(b-a)
}

// Add adds a pulse of the given height at a place between the samples of x.
func (k *Kernel) Add(x []float64, place, height float64) {
	first, low, high, share := k.weights(place)
	for i := range low {
		if n := first + i; n >= 0 && n < len(x) {
			x[n] += height * (low[i] + share*(high[i]-low[i]))
		}
	}
}

func (k *Kernel) atEdge(x []float64, first int, low, high []float64, share float64) float64 {
	var sum float64
	for i := range low {
		if n := first + i; n >= 0 && n < len(x) {
			sum += x[n] * (low[i] + share*(high[i]-low[i]))
		}
	}
	return sum
}

func (k *Kernel) weights(place float64) (first int, low, high []float64, share float64) {
	whole := math.Floor(place)
	at := (place - whole) * phases
	p := min(int(at), phases-1)
	return int(whole) - k.half + 1, k.rows[p], k.rows[p+1], at - float64(p)
}

func sinc(t float64) float64 {
	if t == 0 {
		return 1
	}
	return math.Sin(math.Pi*t) / (math.Pi * t)
}

func kaiser(t, beta float64) float64 {
	if math.Abs(t) >= 1 {
		return 0
	}
	return fft.BesselI0(beta*math.Sqrt(1-t*t)) / fft.BesselI0(beta)
}
