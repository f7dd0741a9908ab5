package soundcard

/*
#include "exchange.h"
*/
import "C"

import (
	"fmt"
	"unsafe"

	"stillroom/app/audio"
)

const (
	fadeS     = 0.005   // from full to silence when an exchange is stopped
	meterS    = 2       // the recording of a level meter goes round in this time
	meterLog  = 1 << 12 // blocks logged of a level meter
	maxLog    = 1 << 18 // blocks logged of anything else
	leastStep = 16      // frames; no driver's block is shorter on average
	tailS     = 0.5     // of silence behind what is played alone, to push it out of the queue
)

// buffers is the memory that the real-time thread works on. It is C memory, so
// that the collector never stands in its way, and is freed by free.
type buffers struct {
	x *C.sc_exchange
}

// newBuffers allocates for x, which has passed its checks, and puts into the
// play rows what is to be played, with its ramp. The recording goes round after
// its own length and spare frames.
func newBuffers(x audio.Exchange, out, in audio.Device, spare int) (buffers, error) {
	ring, room := int(plus(int64(x.Frames()), spare)), min(x.Frames()/leastStep+1024, maxLog)
	if x.Discard {
		ring, room = min(ring, int(meterS*x.RateHz)), meterLog
	}
	b := buffers{C.sc_new(C.int(len(x.Play)), C.int64_t(x.PlayFrames()),
		C.int(len(x.RecordChannels)), C.int64_t(ring), C.int64_t(room))}
	if b.x == nil {
		return b, fmt.Errorf("%w: there is no memory for an exchange this long: play and record a shorter time", audio.ErrBadRequest)
	}
	b.endAt(int64(x.Frames()))
	if x.InputDevice == "" {
		b.endAt(int64(x.Frames()) + int64(tailS*x.RateHz))
	}
	b.x.fade_frames = C.int64_t(max(1, fadeS*x.RateHz))
	b.x.limit = C.float(x.LimitFS)
	b.x.out_channels = C.int(streamChannels(x.PlayChannels, out.Outputs))
	b.x.in_channels = C.int(streamChannels(x.RecordChannels, in.Inputs))
	setChannels(b.x.play_channel, x.PlayChannels)
	setChannels(b.x.record_channel, x.RecordChannels)
	for i, row := range b.playRows() {
		ramp(row, x.Play[i], int(x.RampS*x.RateHz))
	}
	return b, nil
}

// streamChannels is how many channels a stream needs to reach the highest named,
// none where none is, and two at least where the device has them: of a stream of
// one channel, a sound server plays the sound on both sides, and records the mean
// of both.
func streamChannels(channels []int, has int) int {
	if len(channels) == 0 {
		return 0
	}
	n := min(2, has)
	for _, c := range channels {
		n = max(n, c+1)
	}
	return n
}

func setChannels(dst *C.int, channels []int) {
	for i, c := range channels {
		unsafe.Slice(dst, len(channels))[i] = C.int(c)
	}
}

func (b buffers) free() { C.sc_free(b.x) }

func (b buffers) playRows() [][]float32 {
	return rows(b.x.play, int(b.x.play_rows), int(b.x.play_frames))
}

// recordRows are the rows as they are being recorded: frame n is at n modulo
// the row's length.
func (b buffers) recordRows() [][]float32 {
	return rows(b.x.record, int(b.x.record_rows), int(b.x.ring_frames))
}

func rows(r **C.float, count, frames int) [][]float32 {
	out := make([][]float32, count)
	for i, row := range unsafe.Slice(r, count) {
		out[i] = unsafe.Slice((*float32)(unsafe.Pointer(row)), frames)
	}
	return out
}

// recorded returns a copy of the frames from..to of each row.
func (b buffers) recorded(from, to int64) [][]float32 {
	out := make([][]float32, 0, int(b.x.record_rows))
	for _, row := range b.recordRows() {
		out = append(out, unrolled(row, from, to))
	}
	return out
}

// unrolled returns a copy of the frames from..to, which are fewer than the row's,
// of a row that goes round.
func unrolled(row []float32, from, to int64) []float32 {
	at := from % int64(len(row))
	out := append(make([]float32, 0, to-from), row[at:min(at+to-from, int64(len(row)))]...)
	return append(out, row[:to-from-int64(len(out))]...)
}

// endAt says after how many frames the stream completes.
func (b buffers) endAt(frame int64) { C.sc_end_at(b.x, C.int64_t(frame)) }

func (b buffers) position() int64 { return int64(C.sc_position(b.x)) }
func (b buffers) stop()           { C.sc_stop(b.x) }
func (b buffers) silent() bool    { return C.sc_is_silent(b.x) != 0 }
func (b buffers) finished() bool  { return C.sc_is_finished(b.x) != 0 }
func (b buffers) done() bool      { return C.sc_state(b.x) == C.SC_DONE }
func (b buffers) overLimit() bool { return C.sc_state(b.x) == C.SC_OVER_LIMIT }

// log returns a copy of what is kept of the callbacks so far.
func (b buffers) log() []block {
	logged := unsafe.Slice(b.x.blocks, int(C.sc_block_count(b.x)))
	out := make([]block, len(logged))
	for i, l := range logged {
		out[i] = block{frame: int(l.frame), atNS: int64(l.mono_ns), frames: int(l.frames), flags: uint32(l.flags)}
	}
	return out
}
