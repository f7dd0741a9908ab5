package soundcard

import (
	"context"
	"errors"
	"fmt"
	"time"

	"stillroom/app/audio"
)

const (
	lookEvery  = 20 * time.Millisecond
	firstLimit = 5 * time.Second         // for the first block to come
	stallLimit = 1500 * time.Millisecond // without a frame the device is lost
	drainLimit = 3 * time.Second         // for the last queued sound to play
)

// errStillborn is a stream that ended before its first frame. On a busy machine, one
// in some hundred starts on PulseAudio does: where one direction is ready before the
// other, PortAudio asks the other for its delay (ContinuePoll in pa_linux_alsa.c), and
// takes an error in place of an answer for the end of the stream. Nothing has been
// played: it can start again.
var errStillborn = errors.New("before its first frame")

// watch looks on until the exchange is done, is stopped, or fails. Where one
// stream fails, the sound of the other is ended.
func (c *Card) watch(ctx context.Context, s *session) error {
	ticker := time.NewTicker(lookEvery)
	defer ticker.Stop()
	for {
		select {
		case <-ctx.Done():
			s.hush()
			return fmt.Errorf("the exchange was stopped after %.2f s: %w", s.leading().passedS(), ctx.Err())
		case <-ticker.C:
		}
		over, err := s.ended()
		if err == nil && !over {
			err = c.cue(s)
		}
		if err != nil && s.twoStreams() {
			s.hush()
		}
		if over || err != nil {
			return err
		}
	}
}

// ended tells whether all streams have come to their end, or how one failed.
func (s *session) ended() (bool, error) {
	all := true
	for _, st := range s.streams() {
		over, err := st.ended()
		if err != nil {
			return true, err
		}
		all = all && over
	}
	return all, nil
}

// ended tells whether the stream has come to its end, and how.
func (st *stream) ended() (bool, error) {
	if !st.running {
		return false, nil
	}
	if pos := st.buf.position(); pos != st.seen {
		st.seen, st.since = pos, time.Now()
	}
	still := time.Since(st.since)
	switch {
	case st.buf.overLimit():
		return true, fmt.Errorf("%w: a sample above it reached the output stage, which has gone silent: this is a fault of the program, please report it", audio.ErrOverLimit)
	case st.buf.finished() && st.buf.done():
		return true, nil
	case st.buf.finished() && st.buf.position() == 0:
		return true, fmt.Errorf("%w: %w", st.lost("stopped by itself"), errStillborn)
	case st.buf.finished():
		return true, st.lost("stopped by itself")
	case st.buf.done() && still > drainLimit:
		if st.x.InputDevice != "" {
			return true, nil // all is recorded; only the end of the sound is missing
		}
		return true, st.lost("did not play to the end")
	case st.buf.done():
		return false, nil
	case st.buf.position() == 0 && still > firstLimit:
		return true, st.lost("gave no sound at all")
	case st.buf.position() > 0 && still > stallLimit:
		return true, st.lost("went still")
	}
	return false, nil
}

func (st *stream) lost(how string) error {
	return fmt.Errorf("%w: %s %s after %.2f s: see its cable or its sound server, then measure again", audio.ErrDeviceLost, st.names(), how, st.passedS())
}

func (st *stream) passedS() float64 {
	return float64(st.buf.position()) / st.x.RateHz
}

// hush asks the callback to fade and waits until it has, where the fade can be
// heard in time. Behind a long queue it cannot: there the abort that follows
// drops the queue, and waiting would only prolong the sound.
func (s *session) hush() {
	if s.play == nil || !s.play.running {
		return
	}
	s.play.buf.stop()
	wait := 5 * time.Millisecond
	if s.out.HostAPI == hostJACK {
		wait = 25 * time.Millisecond // one period of 1,024 frames
	}
	for end := time.Now().Add(wait); !s.play.buf.silent() && time.Now().Before(end); {
		time.Sleep(time.Millisecond)
	}
}
