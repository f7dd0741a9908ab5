package soundcard

import (
	"context"
	"errors"
	"math"
	"slices"

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

// facts is what the devices said and did.
func (s *session) facts(err error) audio.Facts {
	f := audio.Facts{
		Kind: Kind, OutputDevice: s.out.Name, InputDevice: s.in.Name, HostAPI: s.hostAPI(),
		TwoStreams:  s.twoStreams(),
		Cancelled:   errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded),
		DeviceLost:  errors.Is(err, audio.ErrDeviceLost),
		InputShared: s.x.InputDevice != "" && shared(s.in.Device),
	}
	for _, st := range s.streams() {
		log := st.buf.log()
		lost, slope := count(log, st.x.RateHz)
		if st == s.leading() {
			f.ClockSlope = slope
		}
		f.LostFrames += int(math.Round(float64(lost) * s.x.RecordRateHz() / st.x.RateHz))
		f.LatencyTellS += max(0, st.latencyTellS)
		f.Flags = append(f.Flags, s.placed(st, flags(log))...)
	}
	slices.SortStableFunc(f.Flags, func(a, b audio.Flag) int { return a.Frame - b.Frame })
	f.RateHz = s.streams()[0].rateHz
	if s.record != nil {
		f.InputRateHz = s.record.rateHz
		from, _ := s.span()
		f.StartOffsetFrames = int(from)
	}
	if !(f.LatencyTellS < tellMaxS) {
		f.LatencyTellS = 0
	}
	return f
}

// hostAPI names that of the devices, or both where they differ.
func (s *session) hostAPI() string {
	switch {
	case s.x.OutputDevice == "":
		return s.in.HostAPI
	case s.x.InputDevice == "" || s.in.HostAPI == s.out.HostAPI:
		return s.out.HostAPI
	}
	return s.out.HostAPI + ", " + s.in.HostAPI
}

// placed moves the flags of a stream to where they are in the recording, and
// leaves out those from before it.
func (s *session) placed(st *stream, flags []audio.Flag) []audio.Flag {
	if !s.twoStreams() {
		return flags
	}
	begins, _ := s.span()
	var out []audio.Flag
	for _, f := range flags {
		if st == s.record {
			f.Frame -= int(begins)
		} else {
			f.Frame = int(float64(f.Frame) * s.x.RecordRateHz() / s.x.RateHz)
		}
		if f.Frame >= 0 {
			out = append(out, f)
		}
	}
	return out
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
