package soundcard

import (
	"sync/atomic"

	"stillroom/app/audio"
)

// session is one exchange on its way.
type session struct {
	x            audio.Exchange
	out, in      entry         // the zero entry where a side is not used
	play, record *stream       // the same one where both run as one; nil for a side that is not used
	begins       atomic.Int64  // frame of the recording stream at which the recording begins, or notYet
	read         chan struct{} // closed when the buffers have been read
}

// notYet is where a recording begins whose playing has not begun.
const notYet = -1

// streams are those that run, that which plays first.
func (s *session) streams() []*stream {
	switch {
	case s.play == nil:
		return []*stream{s.record}
	case s.record == nil || s.record == s.play:
		return []*stream{s.play}
	}
	return []*stream{s.play, s.record}
}

// twoStreams tells whether output and input run apart.
func (s *session) twoStreams() bool { return len(s.streams()) == 2 }

// leading is the stream by which the exchange is reckoned: that which records,
// where one does.
func (s *session) leading() *stream {
	if s.record != nil {
		return s.record
	}
	return s.play
}

// split parts an exchange into what it plays and what it records, each of which
// runs at its RateHz.
func split(x audio.Exchange) (play, record audio.Exchange) {
	play, record = x, x
	play.InputDevice, play.RecordChannels, play.RecordFrames, play.InputRateHz = "", nil, 0, 0
	record.OutputDevice, record.Play, record.PlayChannels = "", nil, nil
	record.RateHz, record.InputRateHz = x.RecordRateHz(), 0
	return play, record
}

// span is the part of the recording stream that is the recording, as far as it
// has come.
func (s *session) span() (from, to int64) {
	from = s.begins.Load()
	if s.record == nil || from == notYet {
		return 0, 0
	}
	return from, max(from, min(s.record.buf.position(), plus(from, s.x.Frames())))
}

// plus is at+frames, or the largest number where that is none.
func plus(at int64, frames int) int64 {
	if sum := at + int64(frames); sum >= at {
		return sum
	}
	return 1<<63 - 1
}
