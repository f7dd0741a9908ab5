package soundcard

import "math"

// ramp writes src to dst, rising over the first n frames as half a cosine
// period, 0.5(1−cos(π(i+0.5)/n)), so that the output starts without a step.
// No sample grows by it. dst and src have one length; n may exceed it.
func ramp(dst, src []float32, n int) {
	copy(dst, src)
	for i := range dst[:min(n, len(dst))] {
		gain := 0.5 * (1 - math.Cos(math.Pi*(float64(i)+0.5)/float64(n)))
		dst[i] = float32(float64(src[i]) * gain)
	}
}
