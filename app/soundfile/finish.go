package soundfile

import (
	"fmt"
	"math"
)

// Peak tells how the samples of a channel stand at the end of their range: at or
// beyond the highest code of an integer format, or at or beyond ±1.
type Peak struct {
	Samples    int // how many there are
	LongestRun int // most in a row; two or more look like clipping
	FirstFrame int // where the first stands, or −1
}

// finish checks the samples and makes the Sound.
func finish(l layout, channels [][]float64, warnings []string) (Sound, error) {
	if l.coding == float {
		if err := checkFinite(channels, l.rateHz); err != nil {
			return Sound{}, err
		}
	}
	s := Sound{RateHz: l.rateHz, Channels: channels, Format: l.describe(), Warnings: warnings}
	s.Peaks = make([]Peak, len(channels))
	for c, samples := range channels {
		s.Peaks[c] = peakOf(samples, l.highest())
	}
	return s, nil
}

// highest is the magnitude from which on a sample stands at the end of its range.
func (l layout) highest() float64 {
	if l.coding == float {
		return 1
	}
	return 1 - math.Ldexp(1, 1-l.bits)
}

func peakOf(samples []float64, highest float64) Peak {
	p := Peak{FirstFrame: -1}
	run := 0
	for i, x := range samples {
		if math.Abs(x) < highest {
			run = 0
			continue
		}
		if p.Samples == 0 {
			p.FirstFrame = i
		}
		p.Samples++
		run++
		p.LongestRun = max(p.LongestRun, run)
	}
	return p
}

// checkFinite refuses a sound with a sample that is not a number or infinite, and
// names the first in time.
func checkFinite(channels [][]float64, rateHz float64) error {
	channel, frame := -1, math.MaxInt
	for c, samples := range channels {
		for i, x := range samples[:min(len(samples), frame)] {
			if x-x != 0 { // only for NaN and the infinities
				channel, frame = c, i
				break
			}
		}
	}
	if channel < 0 {
		return nil
	}
	what := "infinite"
	if math.IsNaN(channels[channel][frame]) {
		what = "not a number"
	}
	return &Error{
		Problem: fmt.Sprintf("sample %d of channel %d (at %.6g s) is %s", frame, channel+1, float64(frame)/rateHz, what),
		Remedy:  "record again, or find out which program wrote it",
		Kind:    ErrBadSamples,
	}
}
