package soundcard

import (
	"context"
	"errors"
	"math"

	"gonum.org/v1/gonum/stat"

	"stillroom/app/audio"
)

// block is what is kept of one callback.
type block struct {
	frame  int   // of the exchange at which it began
	atNS   int64 // monotonic clock when it began
	frames int
	flags  uint32
}

const (
	primingBlocks = 3   // the first callbacks are flagged on every system
	settleS       = 0.5 // buffers fill up; not counted
	restS         = 0.2 // a late block at the very end may still be caught up
	leastCountS   = 1.0 // a shorter count says nothing
	slopeSure     = 5e-4
)

// facts is what the device said and did.
func (s *session) facts(err error) audio.Facts {
	log := s.buf.log()
	lost, slope := count(log, s.x.RateHz)
	f := audio.Facts{
		Kind: Kind, OutputDevice: s.out.Name, InputDevice: s.in.Name,
		HostAPI: s.out.HostAPI, RateHz: s.rateHz,
		Flags: flags(log), LostFrames: lost, ClockSlope: slope,
		Cancelled:   errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded),
		DeviceLost:  errors.Is(err, audio.ErrDeviceLost),
		InputShared: s.x.InputDevice != "" && shared(s.in.Device),
	}
	if s.x.OutputDevice == "" {
		f.HostAPI = s.in.HostAPI
	}
	if s.latencyTellS > 0 && s.latencyTellS < tellMaxS {
		f.LatencyTellS = s.latencyTellS
	}
	return f
}

// flagNames are the status bits of PortAudio's callback (portaudio.h,
// PaStreamCallbackFlags); bit 4, priming, is no event.
var flagNames = [...]string{"input underflow", "input overflow", "output underflow", "output overflow"}

// flags lists what the driver reported after priming.
func flags(blocks []block) []audio.Flag {
	var out []audio.Flag
	for _, b := range blocks[min(primingBlocks, len(blocks)):] {
		for bit, name := range flagNames {
			if b.flags>>bit&1 != 0 {
				out = append(out, audio.Flag{Frame: b.frame, What: name})
			}
		}
	}
	return out
}

// count compares the frames that came with those due by the monotonic clock.
// lost is the number that never came, where more than one block at once is
// missing. slope is frames that came per frame due, by least squares; 0 where
// the blocks span less than a second, or come so unevenly that three times its
// standard error is above 0.0005.
//
// A late callback is no loss: its frames are waiting and come with the next.
// So the lag of a block is the least lag of any block from it on, and a step in
// that is a loss.
func count(blocks []block, rateHz float64) (lost int, slope float64) {
	blocks = settled(blocks, rateHz)
	if len(blocks) < 3 || spanS(blocks) < leastCountS {
		return 0, 0
	}
	n := len(blocks)
	due, came, lag := make([]float64, n), make([]float64, n), make([]float64, n)
	longest := 0
	for i, b := range blocks {
		due[i] = float64(b.atNS-blocks[0].atNS) * 1e-9 * rateHz
		came[i] = float64(b.frame - blocks[0].frame)
		lag[i] = due[i] - came[i]
		longest = max(longest, b.frames)
	}
	for i := n - 2; i >= 0; i-- {
		lag[i] = min(lag[i], lag[i+1])
	}
	for i := 1; i < n && due[i] < due[n-1]-restS*rateHz; i++ {
		if step := lag[i] - lag[i-1]; step > float64(longest) {
			lost += int(step + 0.5)
		}
	}
	return lost, slopeOf(due, came)
}

// slopeOf is the least-squares slope of came over due, or 0 where it is not sure.
func slopeOf(due, came []float64) float64 {
	offset, slope := stat.LinearRegression(due, came, nil, false)
	var residual float64
	for i := range due {
		r := came[i] - offset - slope*due[i]
		residual += r * r
	}
	n := float64(len(due))
	standardError := math.Sqrt(residual / (n - 2) / (stat.Variance(due, nil) * (n - 1)))
	if !(3*standardError <= slopeSure) {
		return 0
	}
	return slope
}

// settled leaves out the blocks from before the buffers have filled.
func settled(blocks []block, rateHz float64) []block {
	for i, b := range blocks {
		if i >= primingBlocks && float64(b.frame) >= settleS*rateHz {
			return blocks[i:]
		}
	}
	return nil
}

func spanS(blocks []block) float64 {
	return float64(blocks[len(blocks)-1].atNS-blocks[0].atNS) * 1e-9
}
