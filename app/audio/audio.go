// Package audio says what a sound interface is: what it is called, what it can
// do, and how one exchange with it goes. An exchange plays some channels and
// records others at the same time, from one clock where the hardware has one.
//
// Three makers of an Interface live beside this package: soundcard (PortAudio),
// simulated (a rig made of physics, for work with no hardware) and filepair (a
// recording made elsewhere).
package audio

import (
	"context"
	"errors"
)

// Interface is one way to play and to record.
//
// Implementations are safe for use from several goroutines, but only one
// Exchange runs at a time: a second one returns ErrBusy.
type Interface interface {
	// Kind is the short name of the maker, as it is kept in a take:
	// "soundcard", "simulated" or "filepair".
	Kind() string

	// Devices lists what is there now. It may rescan the system.
	Devices(ctx context.Context) ([]Device, error)

	// Describe returns the device with the given ID, or an error that wraps
	// ErrNoDevice and names the device and those that are there.
	Describe(ctx context.Context, id string) (Device, error)

	// Exchange plays and records. It returns when all frames are recorded, when
	// the context ends, or when the device is lost. When it returns, the output
	// is silent. What was recorded up to then is returned with the error, so
	// that nothing is lost. progress may be nil; it is called a few times a
	// second, never from a real-time thread, and never after Exchange returned.
	Exchange(ctx context.Context, x Exchange, progress func(Progress)) (Capture, error)
}

// Device is one thing that sound goes into or comes out of.
type Device struct {
	ID            string    // stable across restarts: host API and full name
	Name          string    // as the system tells it
	HostAPI       string    // "ALSA", "JACK Audio Connection Kit", "simulated" …
	Inputs        int       // channels that can be recorded
	Outputs       int       // channels that can be played
	DefaultRateHz float64   // what the system would choose
	RatesHz       []float64 // rates the device accepts; on a sound server this proves nothing
	DefaultInput  bool
	DefaultOutput bool
}

// Exchange is what one call of Interface.Exchange is to do.
type Exchange struct {
	OutputDevice string // ID; empty when nothing is played
	InputDevice  string // ID; empty when nothing is recorded
	RateHz       float64

	// InputRateHz is the rate at which to record, where the input does not run at
	// RateHz; 0 stands for RateHz. With another rate output and input run as two
	// streams, and Capture.RateHz is this one.
	InputRateHz float64

	// Play holds one row of samples for each entry of PlayChannels, all of one
	// length. Full scale is ±1.
	Play         [][]float32
	PlayChannels []int // device channels, from 0

	RecordChannels []int // device channels, from 0
	RecordFrames   int   // how many frames to record, at the input's rate; lasts at least as long as Play
	Discard        bool  // keep nothing of what is recorded (a level meter)

	// LimitFS is the highest sample magnitude this exchange may play, above 0
	// and at most 1. An exchange with a larger sample, or one that is not a
	// number, is refused with an error that wraps ErrOverLimit before any sound.
	LimitFS float64

	// RampS is the time over which the output rises at the start of what is
	// played, so that no exchange starts with a step. Signals that carry their
	// own fades set it to 0.
	RampS float64
}

// Progress tells how far an exchange is.
type Progress struct {
	Frames int       // recorded so far
	Total  int       // to be recorded
	PeakFS []float64 // highest magnitude since the last report, one per recorded channel
	RMSFS  []float64 // root mean square since the last report, one per recorded channel
}

// Capture is what was recorded.
type Capture struct {
	RateHz   float64     // of Channels: Exchange.RecordRateHz
	Channels [][]float32 // one row per entry of Exchange.RecordChannels
	Facts    Facts
}

// Facts is what the device said and did during an exchange, kept with the take.
// None of it is trusted for timing: time is measured in the recording.
type Facts struct {
	Kind         string // of the Interface
	OutputDevice string // full name
	InputDevice  string
	HostAPI      string
	RateHz       float64 // as the stream reports it; of what is played where two run
	InputRateHz  float64 // likewise, of what is recorded; 0 where nothing is

	// TwoStreams tells that output and input ran as a stream each, by their own
	// clocks. The recording started first: StartOffsetFrames of it were left out,
	// so that it begins when the first played frame was handed over, as nearly as
	// the computer's clock and the drivers' blocks tell.
	TwoStreams        bool
	StartOffsetFrames int

	Flags        []Flag  // what the driver reported, priming left out
	LostFrames   int     // frames missing by the count against the monotonic clock
	ClockSlope   float64 // frames delivered per frame due by the monotonic clock; 0 where unknown
	Cancelled    bool
	DeviceLost   bool
	InputShared  bool    // a sound server sits in between: it may resample or process unseen
	LatencyTellS float64 // what the driver says of its round trip; not used for alignment
}

// Flag is one event that the driver reported.
type Flag struct {
	Frame int    // where in the recording
	What  string // "input overflow", "input underflow", "output underflow", "output overflow"
}

// Errors that callers tell apart. Each is wrapped with what happened and what to do.
var (
	ErrBusy       = errors.New("the sound interface is in use")
	ErrNoDevice   = errors.New("no such sound device")
	ErrOverLimit  = errors.New("the signal is above the output limit")
	ErrDeviceLost = errors.New("the sound device has gone")
	ErrBadRequest = errors.New("the sound interface cannot do this")
)
