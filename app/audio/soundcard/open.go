package soundcard

import (
	"errors"
	"fmt"
	"math"
	"time"

	"stillroom/app/audio"
)

const (
	openLimit = 10 * time.Second // for a driver to open and start
	stopLimit = time.Second      // for a driver to stop and close
	spareS    = 2                // of recording kept beyond what is asked for, where its end is told late
)

// open opens the devices as they are listed, in one stream where that can be, and
// starts that or, of two, the recording one. The caller holds the lock.
func (c *Card) open(x audio.Exchange) (*session, error) {
	s := &session{x: x, read: make(chan struct{})}
	if err := c.findBoth(s); err != nil {
		return nil, err
	}
	both := x.OutputDevice != "" && x.InputDevice != ""
	if both && (c.neverOne || s.out.HostAPI != s.in.HostAPI || x.RecordRateHz() != x.RateHz) {
		return s, c.openTwo(s)
	}
	st, err := c.openOne(s)
	if both && c.stuck == 0 && (errors.Is(err, errDriver) || errors.Is(err, errRate)) {
		return s, c.openTwo(s)
	}
	return s, st.refused(err, c.stuck > 0)
}

// openOne opens and starts one stream for all that is used.
func (c *Card) openOne(s *session) (*stream, error) {
	x := s.x
	if x.OutputDevice == "" {
		_, x = split(x)
	}
	st := &stream{x: x, out: s.out, in: s.in}
	if err := c.launch(st, 0, st.openAndStart); err != nil {
		return st, err
	}
	st.started()
	if x.OutputDevice != "" {
		s.play = st
	}
	if x.InputDevice != "" {
		s.record = st
	}
	return st, nil
}

// openTwo opens a stream for each direction and starts the recording, which goes
// round in its memory until it is told its end. Playing starts later; see cue.
func (c *Card) openTwo(s *session) error {
	x, y := split(s.x)
	play, record := &stream{x: x, out: s.out}, &stream{x: y, in: s.in}
	if err := c.launch(play, 0, play.open); err != nil {
		return play.refused(err, c.stuck > 0)
	}
	if err := c.launch(record, int(spareS*y.RateHz), record.openAndStart); err != nil {
		close(s.read)
		c.shut(play, s.read, stopLimit)
		return record.refused(err, c.stuck > 0)
	}
	record.started()
	s.play, s.record = play, record
	s.begins.Store(notYet)
	return nil
}

// launch allocates for a stream, with spare frames of recording beyond those
// asked for, whose end is then left open, and opens it.
func (c *Card) launch(st *stream, spare int, open func() error) error {
	var err error
	if st.buf, err = newBuffers(st.x, st.out.Device, st.in.Device, spare); err != nil {
		return err
	}
	if spare > 0 {
		st.buf.endAt(math.MaxInt64)
	}
	err = c.apart(openLimit, open, func() { st.stop(); st.buf.free() })
	if err != nil && !errors.Is(err, errHung) {
		st.buf.free()
	}
	return err
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
	return s.x.Fits(s.out.Device, s.in.Device)
}

// refused says why the stream did not open and what to do; nil where it did. died
// tells that a sound server has died under this program.
func (st *stream) refused(err error, died bool) error {
	switch {
	case err == nil || errors.Is(err, audio.ErrBadRequest):
		return err
	case errors.Is(err, errRate):
		return fmt.Errorf("%w: %s does not run at %g Hz: choose %g Hz, or set the rate of the device or its sound server",
			audio.ErrBadRequest, st.names(), st.x.RateHz, st.preferredHz())
	case died && !errors.Is(err, errHung):
		return fmt.Errorf("%w: %s did not open (%w), for a sound server has died while it was in use: start it again, then this program",
			audio.ErrDeviceLost, st.names(), err)
	case errors.Is(err, errHung):
		return fmt.Errorf("%w: %s did not open within %v: start its sound server again, then this program",
			audio.ErrNoDevice, st.names(), openLimit)
	}
	return fmt.Errorf("%w: %s did not open (%w): see that no other program holds it, or choose another device",
		audio.ErrBadRequest, st.names(), err)
}

// names are the devices as a message tells them.
func (st *stream) names() string {
	switch {
	case st.x.InputDevice == "" || st.in.ID == st.out.ID:
		return fmt.Sprintf("%q", st.out.ID)
	case st.x.OutputDevice == "":
		return fmt.Sprintf("%q", st.in.ID)
	}
	return fmt.Sprintf("%q with %q", st.out.ID, st.in.ID)
}

// preferredHz is the rate that the system would choose.
func (st *stream) preferredHz() float64 {
	if st.x.InputDevice != "" {
		return st.in.DefaultRateHz
	}
	return st.out.DefaultRateHz
}
