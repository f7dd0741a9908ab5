package rigs

import "math"

const (
	rampSteps = 1 << 23 // distinct values: float32 holds each exactly
	rampUnit  = 1.0 / (1 << 24)
)

// Ramp returns frames samples that are all different and none zero:
// (n mod 2²³ + 1)/2²⁴, from near 0 to 0.5. Each sample in a recording then says
// which one it was, so that what is lost, repeated or replaced shows.
func Ramp(frames int) []float32 {
	out := make([]float32, frames)
	for n := range out {
		out[n] = float32(n%rampSteps+1) * rampUnit
	}
	return out
}

// RampReading is what became of a ramp on its way into a recording.
type RampReading struct {
	LatencyFrames int // where its first sample arrived; −1 where none did
	Frames        int // from the first sample that arrived to the last
	Lost          int // samples that never came, up to the last that did
	Repeated      int // samples that came again
	Foreign       int // samples between first and last that are none of the ramp: silence, or changed
}

// Clean tells whether all that arrived is whole.
func (r RampReading) Clean() bool {
	return r.LatencyFrames >= 0 && r.Lost == 0 && r.Repeated == 0 && r.Foreign == 0
}

// ReadRamp finds a ramp of fewer than 2²³ frames in a recording. LatencyFrames
// is exact where the ramp's first sample is in it.
func ReadRamp(recording []float32) RampReading {
	r := RampReading{LatencyFrames: -1}
	first, last := span(recording)
	if first < 0 {
		return r
	}
	next := 0
	for i := first; i <= last; i++ {
		n, ok := rampIndex(recording[i])
		switch {
		case !ok:
			r.Foreign++
			continue
		case n < next:
			r.Repeated++
			continue
		case r.LatencyFrames < 0:
			r.LatencyFrames = i - n
		}
		r.Lost += n - next
		next = n + 1
	}
	r.Frames = last - first + 1
	return r
}

// span is the first and the last sample that belong to a ramp, or −1.
func span(recording []float32) (first, last int) {
	first, last = -1, -1
	for i, s := range recording {
		if _, ok := rampIndex(s); ok {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	return first, last
}

// rampIndex is the number of a sample within the ramp.
func rampIndex(s float32) (int, bool) {
	n := float64(s) / rampUnit
	if n < 1 || n > rampSteps || n != math.Trunc(n) {
		return 0, false
	}
	return int(n) - 1, true
}
