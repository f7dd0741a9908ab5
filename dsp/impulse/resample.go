package impulse

import (
	"math"
	"runtime"
	"sync"

	"stillroom/dsp/excitation"
	"stillroom/dsp/fft"
)

// The kernel that recordings are resampled with: a sinc of 128 taps under a Kaiser
// window (J. F. Kaiser and R. W. Schafer, IEEE Trans. Acoust. Speech Signal
// Process. 28, 1980). Its error is about −150 dB up to 0.43 of the sample rate.
const (
	resampleTaps  = 128
	resampleShape = 14.0
	windowSteps   = 1 << 13 // of the table, for half the kernel
)

// Resample returns x as a clock that runs (1+ppm·10⁻⁶) times slower would have
// recorded it: sample n of the result is x at n·(1+ppm·10⁻⁶). So a recording whose
// clock was fast by ppm becomes one of the right rate. Outside x there is silence.
func Resample(x []float64, ppm float64) []float64 {
	ratio := 1 + ppm*1e-6
	out := make([]float64, int(float64(len(x))/ratio))
	window := kaiserTable()
	each(len(out), func(from, to int) {
		for n := from; n < to; n++ {
			out[n] = interpolateAt(x, float64(n)*ratio, window)
		}
	})
	return out
}

// LowPass takes out of x all above topHz, by its spectrum: nothing is lost below 97 %
// of it.
func LowPass(x []float64, rateHz, topHz float64) []float64 {
	plan := fft.NewReal(fft.GoodLength(len(x)))
	bins := plan.Coefficients(nil, x)
	for k := range bins {
		f := float64(k) * rateHz / float64(plan.Len())
		w := excitation.RaisedCosine((topHz - f) / (0.03 * topHz))
		bins[k] *= complex(w, 0)
	}
	return plan.Sequence(nil, bins)[:len(x)]
}

// interpolateAt returns x at a place between samples.
func interpolateAt(x []float64, place float64, window []float64) float64 {
	whole := int(math.Floor(place))
	part := place - float64(whole)
	if part < 1e-9 {
		if whole < len(x) {
			return x[whole]
		}
		return 0
	}
	const half = resampleTaps / 2
	sum := 0.0
	for k := 1 - half; k <= half; k++ {
		i := whole + k
		if i < 0 || i >= len(x) {
			continue
		}
		d := float64(k) - part
		u := math.Abs(d) * (windowSteps / float64(half))
		j := int(u)
		w := window[j] + (u-float64(j))*(window[j+1]-window[j])
		v := x[i] * w / d
		if k&1 == 0 {
			sum -= v
		} else {
			sum += v
		}
	}
	return sum * math.Sin(math.Pi*part) / math.Pi
}

// kaiserTable is half the window, from its middle to its end, and one step more.
func kaiserTable() []float64 {
	t := make([]float64, windowSteps+2)
	scale := 1 / fft.BesselI0(resampleShape)
	for i := range t[:windowSteps+1] {
		z := float64(i) / windowSteps
		t[i] = fft.BesselI0(resampleShape*math.Sqrt(1-z*z)) * scale
	}
	return t
}

// each cuts 0 … n between the processors and waits for all.
func each(n int, work func(from, to int)) {
	parts := runtime.GOMAXPROCS(0)
	size := n/parts + 1
	var wg sync.WaitGroup
	for from := 0; from < n; from += size {
		wg.Go(func() { work(from, min(from+size, n)) })
	}
	wg.Wait()
}
