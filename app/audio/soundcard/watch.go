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

// errStillborn is a stream that ended before its first frame, as PulseAudio's do
// now and then on a busy machine. Nothing has been played: it can start again.
var errStillborn = errors.New("before its first frame")

// watch looks on until the exchange is done, is stopped, or fails.
func (s *session) watch(ctx context.Context) error {
	ticker := time.NewTicker(lookEvery)
	defer ticker.Stop()
	seen, since := int64(0), time.Now()
	for {
		select {
		case <-ctx.Done():
			s.hush()
			return fmt.Errorf("the exchange was stopped after %.2f s: %w", s.passedS(), ctx.Err())
		case <-ticker.C:
		}
		if over, err := s.ended(time.Since(since)); over {
			return err
		}
		if pos := s.buf.position(); pos != seen {
			seen, since = pos, time.Now()
		}
	}
}

// ended tells whether the stream has come to its end, and how. still is the
// time since the last frame.
func (s *session) ended(still time.Duration) (bool, error) {
	switch {
	case s.buf.overLimit():
		return true, fmt.Errorf("%w: a sample above it reached the output stage, which has gone silent: this is a fault of the program, please report it", audio.ErrOverLimit)
	case s.buf.finished() && s.buf.done():
		return true, nil
	case s.buf.finished() && s.buf.position() == 0:
		return true, fmt.Errorf("%w: %w", s.lost("stopped by itself"), errStillborn)
	case s.buf.finished():
		return true, s.lost("stopped by itself")
	case s.buf.done() && still > drainLimit:
		if s.x.InputDevice != "" {
			return true, nil // all is recorded; only the end of the sound is missing
		}
		return true, s.lost("did not play to the end")
	case s.buf.done():
		return false, nil
	case s.buf.position() == 0 && still > firstLimit:
		return true, s.lost("gave no sound at all")
	case s.buf.position() > 0 && still > stallLimit:
		return true, s.lost("went still")
	}
	return false, nil
}

func (s *session) lost(how string) error {
	return fmt.Errorf("%w: %s %s after %.2f s: see its cable or its sound server, then measure again", audio.ErrDeviceLost, s.names(), how, s.passedS())
}

func (s *session) passedS() float64 {
	return float64(s.buf.position()) / s.x.RateHz
}

// hush asks the callback to fade and waits until it has, where the fade can be
// heard in time. Behind a long queue it cannot: there the abort that follows
// drops the queue, and waiting would only prolong the sound.
func (s *session) hush() {
	s.buf.stop()
	wait := 5 * time.Millisecond
	if s.out.HostAPI == hostJACK {
		wait = 25 * time.Millisecond // one period of 1,024 frames
	}
	for end := time.Now().Add(wait); s.x.OutputDevice != "" && !s.buf.silent() && time.Now().Before(end); {
		time.Sleep(time.Millisecond)
	}
}
