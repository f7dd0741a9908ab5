package soundcard

import (
	"errors"
	"slices"
)

// cue sees to the playing stream of two: it starts it once the recording has
// settled, and once it plays, says where the recording begins and ends. It is
// called again and again, and does nothing when all that is done, or where one
// stream runs.
func (c *Card) cue(s *session) error {
	switch {
	case s.begins.Load() != notYet:
		return nil
	case s.play.running && s.play.buf.position() > 0:
		return s.align()
	case s.play.running || float64(s.record.buf.position()) < settleS*s.record.x.RateHz:
		return nil
	}
	return c.startPlaying(s)
}

// startPlaying starts the stream that plays. One that hangs is given up, and is
// closed should it come back.
func (c *Card) startPlaying(s *session) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	err := c.apart(openLimit, s.play.start, func() { s.play.stop(); s.play.freeAfter(s.read) })
	if err != nil {
		s.play.hung = errors.Is(err, errHung)
		return s.play.refused(err, c.stuck > 0)
	}
	s.play.started()
	return nil
}

// align finds the frame of the recording that was to come when the first frame to
// play was asked for, and has the recording end as many frames later as were asked
// for.
func (s *session) align() error {
	from := cameBy(s.play.buf.log()[0].atNS, s.record.buf.log())
	s.begins.Store(from)
	end := plus(from, s.x.Frames())
	s.record.buf.endAt(end)
	if !s.x.Discard && s.record.buf.position() > plus(end, int(spareS*s.record.x.RateHz)) {
		return s.record.lost("ran on while the computer was too busy to look")
	}
	return nil
}

// cameBy is how many frames had come by a moment of the monotonic clock: none of
// them can hold what was asked for then. The time between blocks is not counted
// in, since a sound server may hand over what it has only begun to play.
func cameBy(atNS int64, blocks []block) int64 {
	for _, b := range slices.Backward(blocks) {
		if b.atNS <= atNS {
			return int64(b.frame + b.frames)
		}
	}
	return 0
}
