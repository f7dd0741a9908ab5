package audio

import (
	"fmt"
	"math"
)

const (
	lowestRateHz  = 1000.0  // below this nothing is sound any more
	highestRateHz = 768e3   // above this no converter goes
	maxChannel    = 1 << 10 // more channels than any interface has
	maxKept       = 1 << 29 // samples kept of one exchange: 2 GiB of float32
)

// Check tells whether x can be done by any sound interface at all: its lists
// agree in length, its channels are distinct, its numbers are finite and no
// sample is above LimitFS. The error wraps ErrOverLimit where a sample is too
// large or not a number, and ErrBadRequest for all else. It reads all of Play
// and changes nothing. Whether the devices have those channels is told by Fits.
func (x Exchange) Check() error {
	checks := []func() error{x.checkNumbers, x.checkPlayed, x.checkRecorded, x.checkSamples}
	for _, check := range checks {
		if err := check(); err != nil {
			return err
		}
	}
	return nil
}

// Fits tells whether the devices have the channels that x names. out is looked
// at only when x plays, in only when x records. The error wraps ErrBadRequest.
func (x Exchange) Fits(out, in Device) error {
	if x.OutputDevice != "" {
		if err := inRange("played", x.PlayChannels, out.Outputs, out.Name, "outputs"); err != nil {
			return err
		}
	}
	if x.InputDevice != "" {
		return inRange("recorded", x.RecordChannels, in.Inputs, in.Name, "inputs")
	}
	return nil
}

// PlayFrames is the number of frames in Play, 0 where nothing is played.
func (x Exchange) PlayFrames() int {
	if len(x.Play) == 0 {
		return 0
	}
	return len(x.Play[0])
}

// Frames is how many frames the exchange runs: RecordFrames, or where nothing is
// recorded all of Play.
func (x Exchange) Frames() int {
	if x.InputDevice != "" {
		return x.RecordFrames
	}
	return max(x.PlayFrames(), x.RecordFrames)
}

// RecordRateHz is the rate of the recording: InputRateHz where it is set, or RateHz.
func (x Exchange) RecordRateHz() float64 {
	if x.InputRateHz != 0 {
		return x.InputRateHz
	}
	return x.RateHz
}

// leastFrames is how many frames of the recording last as long as Play.
func (x Exchange) leastFrames() float64 {
	return float64(x.PlayFrames()) * x.RecordRateHz() / x.RateHz
}

func (x Exchange) checkNumbers() error {
	switch {
	case x.OutputDevice == "" && x.InputDevice == "":
		return bad("the exchange names neither an output nor an input device: choose at least one")
	case !(x.RateHz >= lowestRateHz && x.RateHz <= highestRateHz):
		return bad("the sample rate is %g Hz: choose one from %g to %g Hz", x.RateHz, lowestRateHz, highestRateHz)
	case x.InputRateHz != 0 && !(x.InputRateHz >= lowestRateHz && x.InputRateHz <= highestRateHz):
		return bad("the sample rate of the input is %g Hz: choose one from %g to %g Hz, or 0 for that of the output", x.InputRateHz, lowestRateHz, highestRateHz)
	case x.OutputDevice != "" && !(x.LimitFS > 0 && x.LimitFS <= 1):
		return bad("the output limit is %g of full scale: set it above 0 and at most 1", x.LimitFS)
	case !(x.RampS >= 0) || math.IsInf(x.RampS, 0):
		return bad("the output ramp is %g s: set it to 0 or more", x.RampS)
	}
	return nil
}

func (x Exchange) checkPlayed() error {
	if x.OutputDevice == "" {
		if len(x.Play) > 0 || len(x.PlayChannels) > 0 {
			return bad("there is something to play and no output device: choose one")
		}
		return nil
	}
	if x.PlayFrames() == 0 {
		return bad("the output device %q has nothing to play: give it samples, or leave the device empty", x.OutputDevice)
	}
	if len(x.Play) != len(x.PlayChannels) {
		return bad("%d rows are to be played on %d channels: give one row a channel", len(x.Play), len(x.PlayChannels))
	}
	for i, row := range x.Play {
		if len(row) != len(x.Play[0]) {
			return bad("row %d to be played has %d frames and the first has %d: give all one length", i+1, len(row), len(x.Play[0]))
		}
	}
	return distinct("played", x.PlayChannels)
}

func (x Exchange) checkRecorded() error {
	if x.InputDevice == "" {
		if len(x.RecordChannels) > 0 {
			return bad("there are channels to record and no input device: choose one")
		}
		return nil
	}
	switch {
	case len(x.RecordChannels) == 0:
		return bad("the input device %q has no channel to record: choose one, or leave the device empty", x.InputDevice)
	case x.RecordFrames <= 0:
		return bad("%d frames are to be recorded: ask for at least one", x.RecordFrames)
	case float64(x.RecordFrames) < math.Floor(x.leastFrames()):
		return bad("%d frames are to be recorded of %d played: record at least as long as is played", x.RecordFrames, x.PlayFrames())
	case !x.Discard && x.RecordFrames > maxKept/len(x.RecordChannels):
		return bad("%d frames of %d channels are more than can be kept: record a shorter time", x.RecordFrames, len(x.RecordChannels))
	}
	return distinct("recorded", x.RecordChannels)
}

func (x Exchange) checkSamples() error {
	limit := float32(x.LimitFS)
	for i, row := range x.Play {
		for n, s := range row {
			if s >= -limit && s <= limit { // false for NaN
				continue
			}
			return fmt.Errorf("%w: sample %d of channel %d is %g and the limit is %g of full scale; nothing was played, lower the level",
				ErrOverLimit, n, x.PlayChannels[i]+1, s, x.LimitFS)
		}
	}
	return nil
}

func distinct(what string, channels []int) error {
	seen := make(map[int]bool, len(channels))
	for _, c := range channels {
		if c < 0 || c >= maxChannel {
			return bad("channel %d cannot be %s: channels count from 1 to %d", c+1, what, maxChannel)
		}
		if seen[c] {
			return bad("channel %d is to be %s twice: name each channel once", c+1, what)
		}
		seen[c] = true
	}
	return nil
}

func inRange(what string, channels []int, has int, device, kind string) error {
	for _, c := range channels {
		if c < 0 || c >= has {
			return bad("channel %d is to be %s and %q has %d %s: choose another channel or device", c+1, what, device, has, kind)
		}
	}
	return nil
}

func bad(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrBadRequest, fmt.Sprintf(format, args...))
}
