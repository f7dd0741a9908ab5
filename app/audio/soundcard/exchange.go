package soundcard

import (
	"context"
	"errors"
	"fmt"
	"time"

	"stillroom/app/audio"
)

// maxStarts is how often an exchange is started whose stream ends before its
// first frame.
const maxStarts = 3

// Exchange plays and records as audio.Interface says. Output and input run in
// one stream where one driver can do both at one rate, and otherwise in two, each
// by its own clock: then Facts.TwoStreams is set, and only marks in the signal
// tell how the two lie. Where the context ends, the sound fades within 5 ms and
// what the system has queued is dropped; the error wraps that of the context.
func (c *Card) Exchange(ctx context.Context, x audio.Exchange, progress func(audio.Progress)) (audio.Capture, error) {
	if err := x.Check(); err != nil {
		return audio.Capture{}, err
	}
	for starts := 1; ; starts++ {
		got, err := c.once(ctx, x, progress)
		if !errors.Is(err, errStillborn) || starts == maxStarts {
			return got, err
		}
	}
}

// once makes one start of an exchange and sees it through.
func (c *Card) once(ctx context.Context, x audio.Exchange, progress func(audio.Progress)) (audio.Capture, error) {
	if err := ctx.Err(); err != nil {
		return audio.Capture{Facts: audio.Facts{Kind: Kind, Cancelled: true}}, fmt.Errorf("the exchange was stopped before it began: %w", err)
	}
	s, err := c.begin(x)
	if err != nil {
		return audio.Capture{}, err
	}
	defer close(s.read)
	stopReports := s.report(progress)
	err = c.watch(ctx, s)
	if stopErr := c.end(s); err != nil && errors.Is(stopErr, errHung) {
		err = fmt.Errorf("%w; the sound server has died: start it again, then this program", err)
	}
	stopReports()
	return s.capture(err), err
}

// begin takes the card and opens and starts the streams. Where that fails, the
// list of devices may be old: it rescans and tries once more.
func (c *Card) begin(x audio.Exchange) (*session, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.busy {
		return nil, fmt.Errorf("%w: wait for the exchange that runs, or stop it", audio.ErrBusy)
	}
	s, err := c.open(x)
	if errors.Is(err, errDriver) {
		if err := c.rescan(); err != nil {
			return nil, err
		}
		s, err = c.open(x)
	}
	c.busy = err == nil
	return s, err
}

// end stops the streams, that which plays first, and gives the card back. One
// that does not stop in time is given up: errHung. Then another, most likely of
// the same server, is given less time.
func (c *Card) end(s *session) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.busy = false
	var err error
	limit := stopLimit
	for _, st := range s.streams() {
		if err = errors.Join(err, c.shut(st, s.read, limit)); errors.Is(err, errHung) {
			limit = stopLimit / 5
		}
	}
	return err
}

// shut stops a stream, drops what is queued, and frees its memory once that has
// been read. A stream that does not stop in time keeps its memory until it does.
// The caller holds the lock.
func (c *Card) shut(st *stream, read <-chan struct{}, limit time.Duration) error {
	if st.hung {
		return nil // startPlaying has seen to it
	}
	return c.apart(limit, func() error {
		err := st.stop()
		go st.freeAfter(read)
		return err
	}, nil)
}
