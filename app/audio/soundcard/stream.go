package soundcard

/*
#cgo pkg-config: portaudio-2.0
#include "exchange.h"

static PaError open_stream(PaStream **stream, sc_exchange *x, int out, int in, double latency, double rate)
{
	PaSampleFormat format = paFloat32 | paNonInterleaved;
	PaStreamParameters op = {out, x->out_channels, format, latency, NULL};
	PaStreamParameters ip = {in, x->in_channels, format, latency, NULL};
	PaError err = Pa_OpenStream(stream, in < 0 ? NULL : &ip, out < 0 ? NULL : &op, rate,
		paFramesPerBufferUnspecified, paClipOff | paDitherOff, sc_callback, x);
	if (err == paNoError)
		err = Pa_SetStreamFinishedCallback(*stream, sc_finished);
	return err;
}

static PaError rate_accepted(int device, int channels, double rate, int input)
{
	PaStreamParameters p = {device, channels, paFloat32, 0.2, NULL};
	return Pa_IsFormatSupported(input ? &p : NULL, input ? NULL : &p, rate);
}
*/
import "C"

import (
	"errors"
	"fmt"
	"time"
	"unsafe"

	"stillroom/app/audio"
)

// latencyS is asked of every driver. It is long on purpose: a measurement has
// time, and a short queue runs dry under load.
const latencyS = 0.2

// noDevice stands for the side of a stream that is not used.
const noDevice = -1

// Errors of the library that are told apart.
var (
	errRate   = errors.New("the sample rate is not accepted")
	errHung   = errors.New("the sound system does not answer")
	errDriver = errors.New("the driver refuses")
)

// stream is one PortAudio stream on its buffers.
type stream struct {
	pa      unsafe.Pointer // nil when closed
	x       audio.Exchange // what runs in this stream, at its RateHz
	out, in entry          // the zero entry where a side is not used
	buf     buffers

	running bool      // it has been started
	hung    bool      // it did not start in time, and may yet
	seen    int64     // frames when it was last looked at
	since   time.Time // when they came

	// What the driver says once the stream is open; not trusted.
	rateHz       float64
	latencyTellS float64
}

// open opens the stream for both directions, or for the one that x uses.
func (s *stream) open() error {
	out, in := C.int(noDevice), C.int(noDevice)
	if s.x.OutputDevice != "" {
		out = C.int(s.out.index)
	}
	if s.x.InputDevice != "" {
		in = C.int(s.in.index)
	}
	if err := paError(C.open_stream(&s.pa, s.buf.x, out, in, latencyS, C.double(s.x.RateHz))); err != nil {
		s.stop()
		return err
	}
	if i := C.Pa_GetStreamInfo(s.pa); i != nil {
		s.rateHz, s.latencyTellS = float64(i.sampleRate), float64(i.inputLatency+i.outputLatency)
	}
	return nil
}

// start starts the stream.
func (s *stream) start() error { return paError(C.Pa_StartStream(s.pa)) }

// openAndStart leaves nothing open where it fails.
func (s *stream) openAndStart() error {
	if err := s.open(); err != nil {
		return err
	}
	if err := s.start(); err != nil {
		s.stop()
		return err
	}
	return nil
}

// started notes that the stream runs from now on.
func (s *stream) started() { s.running, s.since = true, time.Now() }

// freeAfter frees the memory of a stream that has stopped, once it has been read.
func (s *stream) freeAfter(read <-chan struct{}) {
	<-read
	s.buf.free()
}

// stop ends the stream, drops what is queued, and closes it. It may hang where
// a server has gone. On a stream that is not open it does nothing.
func (s *stream) stop() error {
	if s.pa == nil {
		return nil
	}
	err := errors.Join(paError(C.Pa_AbortStream(s.pa)), paError(C.Pa_CloseStream(s.pa)))
	s.pa = nil
	return err
}

// rateAccepted asks the driver. On a sound server the answer proves nothing.
func rateAccepted(device, channels int, rateHz float64, input bool) bool {
	in := C.int(0)
	if input {
		in = 1
	}
	return C.rate_accepted(C.int(device), C.int(channels), C.double(rateHz), in) == C.paFormatIsSupported
}

// paError turns the library's code into an error: errRate, or one that wraps
// errDriver and tells what the library says.
func paError(code C.PaError) error {
	switch code {
	case C.paNoError:
		return nil
	case C.paInvalidSampleRate:
		return errRate
	case C.paUnanticipatedHostError:
		if host := C.Pa_GetLastHostErrorInfo(); host != nil && host.errorText != nil && *host.errorText != 0 {
			return fmt.Errorf("%w: %s", errDriver, C.GoString(host.errorText))
		}
	}
	return fmt.Errorf("%w: %s", errDriver, C.GoString(C.Pa_GetErrorText(code)))
}

// within runs f apart and waits for it at most as long as limit; then it
// returns errHung, and late is called when f returns after all.
func within(limit time.Duration, f func() error, late func()) error {
	done := make(chan error)
	gone := make(chan struct{})
	go func() {
		err := f()
		select {
		case done <- err:
		case <-gone:
			late()
		}
	}()
	timer := time.NewTimer(limit)
	defer timer.Stop()
	select {
	case err := <-done:
		return err
	case <-timer.C:
		close(gone)
		return errHung
	}
}
