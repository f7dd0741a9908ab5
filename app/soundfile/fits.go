package soundfile

import (
	"fmt"
	"math"
)

// fits refuses a sound that a format cannot hold.
func (s Sound) fits(f Format) error {
	if f.bits() == 0 {
		return unsupported("%s is no format that can be written", f)
	}
	if s.Frames() == 0 {
		return cannotWrite("there are no samples to write", "record first")
	}
	for c, samples := range s.Channels {
		if len(samples) != s.Frames() {
			return cannotWrite(
				fmt.Sprintf("channel %d has %d samples and channel 1 has %d", c+1, len(samples), s.Frames()),
				"give all channels one length")
		}
	}
	if s.RateHz != math.Trunc(s.RateHz) || checkRate(s.RateHz) != nil {
		return cannotWrite(fmt.Sprintf("a sample rate of %g Hz cannot be written", s.RateHz),
			fmt.Sprintf("use a whole number from %g to %g", lowestRateHz, highestRateHz))
	}
	if err := checkFinite(s.Channels, s.RateHz); err != nil {
		return err
	}
	return s.inRange(f)
}

// inRange refuses samples that are beyond what the format can hold.
func (s Sound) inRange(f Format) error {
	limit := 1.0
	switch f {
	case WAVFloat64:
		return nil
	case WAVFloat32:
		limit = math.MaxFloat32
	}
	for c, samples := range s.Channels {
		for i, x := range samples {
			if math.Abs(x) > limit {
				return cannotWrite(
					fmt.Sprintf("sample %d of channel %d is %.6g, beyond the ±%.6g that %s can hold", i, c+1, x, limit, f),
					"write it as WAV, 64 bit float, or lower its level")
			}
		}
	}
	return nil
}

func cannotWrite(problem, remedy string) error {
	return &Error{Problem: problem, Remedy: remedy, Kind: ErrBadSamples}
}
