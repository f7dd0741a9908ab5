package level

import (
	"math"

	"stillroom/dsp/fft"
)

// WeightedRMS is the root mean square of a signal through a weighting given in dB
// over frequency in Hz; nil weighs nothing. The mean (DC) is left out. It is worked
// out on the power spectrum under a Hann window (Parseval), so it holds for signals
// that are alike all along, such as noise and hum. It panics unless there are 16
// samples or more.
func WeightedRMS(samples []float64, rateHz float64, weightingDB func(frequencyHz float64) float64) float64 {
	if len(samples) < 16 {
		panic("level: 16 samples or more are needed for a weighted level")
	}
	windowed, power := hann(samples)
	plan := fft.NewReal(fft.GoodLength(len(samples)))
	sum := 0.0
	for k, v := range plan.Coefficients(nil, windowed) {
		p := real(v)*real(v) + imag(v)*imag(v)
		if weightingDB != nil && k > 0 {
			p *= math.Pow(10, weightingDB(float64(k)*rateHz/float64(plan.Len()))/10)
		}
		if k == 0 || k == plan.Len()/2 {
			p /= 2
		}
		sum += 2 * p
	}
	return math.Sqrt(sum / float64(plan.Len()) / power)
}

// hann returns the samples without their mean under a Hann window, and the sum of
// the squared window. The mean is the one that the window sees: that of the bare
// samples would leave part of a slow tone at 0 Hz, where no weighting takes it out.
func hann(samples []float64) (windowed []float64, power float64) {
	window := make([]float64, len(samples))
	mean, gain, n := 0.0, 0.0, float64(len(samples))
	for i, v := range samples {
		window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/n)
		mean += window[i] * v
		gain += window[i]
		power += window[i] * window[i]
	}
	windowed = window
	for i, v := range samples {
		windowed[i] *= v - mean/gain
	}
	return windowed, power
}
