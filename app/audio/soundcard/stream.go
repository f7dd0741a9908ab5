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
	pa  unsafe.Pointer // nil when closed
	buf buffers

	// What the driver says once the stream is open; not trusted.
	rateHz       float64
	latencyTellS float64
}

// start opens one stream for both directions and starts it. A side without a
// device in x is left out.
func (s *stream) start(out, in entry, x audio.Exchange) error {
	outIndex, inIndex := C.int(noDevice), C.int(noDevice)
	if x.OutputDevice != "" {
		outIndex = C.int(out.index)
	}
	if x.InputDevice != "" {
		inIndex = C.int(in.index)
	}
	if err := paError(C.open_stream(&s.pa, s.buf.x, outIndex, inIndex, latencyS, C.double(x.RateHz))); err != nil {
		s.stop()
		return err
	}
	if i := C.Pa_GetStreamInfo(s.pa); i != nil {
		s.rateHz, s.latencyTellS = float64(i.sampleRate), float64(i.inputLatency+i.outputLatency)
	}
	if err := paError(C.Pa_StartStream(s.pa)); err != nil {
		s.stop()
		return err
	}
	return nil
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
