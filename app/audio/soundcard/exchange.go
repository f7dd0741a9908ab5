package soundcard

import (
	"context"
	"errors"
	"fmt"
	"time"

	"stillroom/app/audio"
)

const (
	openLimit = 10 * time.Second // for a driver to open and start
	stopLimit = time.Second      // for a driver to stop and close
	maxStarts = 3                // of a stream that ends before its first frame
)

// session is one exchange on its way.
type session struct {
	*stream
	x       audio.Exchange
	out, in entry         // the zero entry where a side is not used
	read    chan struct{} // closed when the buffers have been read
}

// Exchange plays and records as audio.Interface says. Input and output run in
// one stream and must be of one host API. Where the context ends, the sound
// fades within 5 ms and what the system has queued is dropped; the error wraps
// that of the context.
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
		return audio.Capture{}, fmt.Errorf("the exchange was stopped before it began: %w", err)
	}
	s, err := c.begin(x)
	if err != nil {
		return audio.Capture{}, err
	}
	defer close(s.read)
	stopReports := s.report(progress)
	err = s.watch(ctx)
	if stopErr := c.end(s); err != nil && errors.Is(stopErr, errHung) {
		err = fmt.Errorf("%w; the sound server has died: start it again, then this program", err)
	}
	stopReports()
	return s.capture(err), err
}

// begin takes the card and opens and starts the stream. Where that fails, the
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

// open opens and starts the stream on the devices as they are listed. The
// caller holds the lock.
func (c *Card) open(x audio.Exchange) (*session, error) {
	s := &session{x: x, read: make(chan struct{})}
	if err := c.findBoth(s); err != nil {
		return nil, err
	}
	buf, err := newBuffers(x)
	if err != nil {
		return nil, err
	}
	s.stream = &stream{buf: buf}
	start := func() error { return s.start(s.out, s.in, x) }
	giveUp := func() { s.stop(); buf.free() }
	if err := c.apart(openLimit, start, giveUp); err != nil {
		if !errors.Is(err, errHung) {
			buf.free()
		}
		return nil, s.refused(err, c.stuck > 0)
	}
	return s, nil
}

// findBoth looks up the devices that the exchange names. The caller holds the
// lock.
func (c *Card) findBoth(s *session) error {
	for _, id := range []string{s.x.OutputDevice, s.x.InputDevice} {
		if id == "" {
			continue
		}
		if _, err := c.lookUp(id); err != nil { // may rescan, which renumbers
			return err
		}
	}
	s.out, _ = find(c.entries, s.x.OutputDevice)
	s.in, _ = find(c.entries, s.x.InputDevice)
	if s.x.OutputDevice != "" && s.x.InputDevice != "" && s.out.HostAPI != s.in.HostAPI {
		return fmt.Errorf("%w: the output %q is on %s and the input %q on %s, which cannot run together: choose both on one of them",
			audio.ErrBadRequest, s.out.Name, s.out.HostAPI, s.in.Name, s.in.HostAPI)
	}
	return s.x.Fits(s.out.Device, s.in.Device)
}

// end stops the stream, drops what is queued and gives the card back. A stream
// that does not stop in time is given up: errHung. It keeps its memory until it
// does.
func (c *Card) end(s *session) error {
	stop := func() error {
		err := s.stop()
		go func() {
			<-s.read
			s.buf.free()
		}()
		return err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.busy = false
	return c.apart(stopLimit, stop, nil)
}

// refused says why the stream did not open and what to do. died tells that a
// sound server has died under this program.
func (s *session) refused(err error, died bool) error {
	switch {
	case errors.Is(err, errRate):
		return fmt.Errorf("%w: %s does not run at %g Hz: choose %g Hz, or set the rate of the device or its sound server",
			audio.ErrBadRequest, s.names(), s.x.RateHz, s.preferredHz())
	case died && !errors.Is(err, errHung):
		return fmt.Errorf("%w: %s did not open (%w), for a sound server has died while it was in use: start it again, then this program",
			audio.ErrDeviceLost, s.names(), err)
	case errors.Is(err, errHung):
		return fmt.Errorf("%w: %s did not open within %v: start its sound server again, then this program",
			audio.ErrNoDevice, s.names(), openLimit)
	}
	return fmt.Errorf("%w: %s did not open (%w): see that no other program holds it, or choose another device",
		audio.ErrBadRequest, s.names(), err)
}

// names are the devices as a message tells them.
func (s *session) names() string {
	switch {
	case s.x.InputDevice == "" || s.in.ID == s.out.ID:
		return fmt.Sprintf("%q", s.out.ID)
	case s.x.OutputDevice == "":
		return fmt.Sprintf("%q", s.in.ID)
	}
	return fmt.Sprintf("%q with %q", s.out.ID, s.in.ID)
}

// preferredHz is the rate that the system would choose.
func (s *session) preferredHz() float64 {
	if s.x.InputDevice != "" {
		return s.in.DefaultRateHz
	}
	return s.out.DefaultRateHz
}
