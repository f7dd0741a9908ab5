// Package soundcard plays and records through PortAudio: ALSA, PulseAudio and
// JACK on Linux, and what other systems have.
//
// The exchange runs in a C callback on memory of its own, since a callback
// written in Go waits for the scheduler and loses sound; Go only looks on.
// What the library says of time is kept as a fact and trusted for nothing.
package soundcard

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"github.com/gordonklaus/portaudio"

	"stillroom/app/audio"
)

// Kind is the name of this maker, as it is kept in a take.
const Kind = "soundcard"

// scanLimit is how long the library may take to look for devices.
const scanLimit = 20 * time.Second

// Card is the sound hardware of this machine, reached through PortAudio. Open
// one in a process: the library below has one state for all. Its methods are
// safe for use from several goroutines.
type Card struct {
	mu      sync.Mutex
	entries []entry
	started bool // the library is initialised
	busy    bool // an exchange runs
	closed  bool
	stuck   int // calls into the library that have not come back

	neverOne bool // tests: output and input run in two streams always
}

var _ audio.Interface = (*Card)(nil)

// Open starts the library and looks for devices. It writes nothing to standard
// error, and starts no sound server by JACK. A machine with no device at all is
// no error. Close the Card after use.
func Open() (*Card, error) {
	quieten()
	c := &Card{}
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.rescan(); err != nil {
		return nil, err
	}
	return c, nil
}

// Close ends the library. While an exchange runs it returns ErrBusy and closes
// nothing. A second call does nothing. Where a dead sound server holds on to a
// stream, the library is left as it is, since it could not be ended.
func (c *Card) Close() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.busy {
		return fmt.Errorf("%w: stop the sound first", audio.ErrBusy)
	}
	c.closed = true
	if !c.started || c.stuck > 0 {
		return nil
	}
	c.started = false
	return c.apart(scanLimit, portaudio.Terminate, nil)
}

// Kind returns "soundcard".
func (c *Card) Kind() string { return Kind }

// Devices lists what is there now. It rescans the system, but for the time of
// an exchange, which a rescan would end: then it returns the list of before.
// RatesHz is left empty, since asking opens each device; see Describe.
func (c *Card) Devices(ctx context.Context) ([]audio.Device, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("looking for sound devices was stopped: %w", err)
	}
	if err := c.rescan(); err != nil {
		return nil, err
	}
	devices := make([]audio.Device, len(c.entries))
	for i, e := range c.entries {
		devices[i] = e.Device
	}
	return devices, nil
}

// Describe returns the device with the ID. RatesHz is empty where the rates
// cannot be known: behind a sound server, and while an exchange runs. It rescans
// the system where the device is not in the list.
func (c *Card) Describe(ctx context.Context, id string) (audio.Device, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return audio.Device{}, fmt.Errorf("looking for the sound device %q was stopped: %w", id, err)
	}
	e, err := c.lookUp(id)
	if err != nil {
		return audio.Device{}, err
	}
	if !c.busy && c.stuck == 0 {
		e.RatesHz = e.rates()
	}
	return e.Device, nil
}

// lookUp finds the device, and rescans once if it is not there. The caller
// holds the lock.
func (c *Card) lookUp(id string) (entry, error) {
	if c.closed {
		return entry{}, fmt.Errorf("%w: it has been closed; open it again", audio.ErrBadRequest)
	}
	if e, ok := find(c.entries, id); ok {
		return e, nil
	}
	if err := c.rescan(); err != nil {
		return entry{}, err
	}
	if e, ok := find(c.entries, id); ok {
		return e, nil
	}
	return entry{}, missing(c.entries, id)
}

// rescan looks for devices again where that ends no sound. The library does so
// only when it is ended and started. The caller holds the lock.
func (c *Card) rescan() error {
	switch {
	case c.closed:
		return fmt.Errorf("%w: it has been closed; open it again", audio.ErrBadRequest)
	case c.started && (c.busy || c.stuck > 0):
		return nil
	case c.stuck > 0:
		return scanFailed(errHung)
	}
	if c.started {
		c.started = false
		if err := c.apart(scanLimit, portaudio.Terminate, nil); err != nil {
			return scanFailed(err)
		}
	}
	if err := c.apart(scanLimit, portaudio.Initialize, nil); err != nil {
		return scanFailed(err)
	}
	c.started = true
	entries, err := list()
	if err != nil {
		return scanFailed(err)
	}
	c.entries = entries
	return nil
}

func scanFailed(err error) error {
	if errors.Is(err, errHung) {
		return fmt.Errorf("%w: looking for devices did not end within %v: start the sound server again, then this program", audio.ErrNoDevice, scanLimit)
	}
	return fmt.Errorf("%w: looking for devices failed (%w): see whether the sound server runs, then try again", audio.ErrNoDevice, err)
}

// apart runs f, a call into the library, and waits for it at most as long as
// limit. Then it returns errHung and counts the call as stuck until it comes
// back, when late runs, if there is one. The caller holds the lock.
func (c *Card) apart(limit time.Duration, f func() error, late func()) error {
	err := within(limit, f, func() {
		if late != nil {
			late()
		}
		c.mu.Lock()
		defer c.mu.Unlock()
		c.stuck--
	})
	if errors.Is(err, errHung) {
		c.stuck++
	}
	return err
}
