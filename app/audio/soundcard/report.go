package soundcard

import (
	"time"

	"stillroom/app/audio"
)

const (
	reportEvery = 100 * time.Millisecond
	tellMaxS    = 10 // a longer round trip is no answer
)

// report calls progress a few times a second, in a goroutine of its own so that
// a slow one holds up nothing, until the function it returns is called. That
// one reports once more and waits for progress to return.
func (s *session) report(progress func(audio.Progress)) (stop func()) {
	if progress == nil {
		return func() {}
	}
	quit, gone := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(gone)
		ticker := time.NewTicker(reportEvery)
		defer ticker.Stop()
		for from, more := int64(0), true; more; {
			select {
			case <-ticker.C:
			case <-quit:
				more = false
			}
			to := s.buf.position()
			progress(s.progress(from, to))
			from = to
		}
	}()
	return func() { close(quit); <-gone }
}

// progress measures the frames from..to, or the end of them where the
// recording goes round faster than it is reported.
func (s *session) progress(from, to int64) audio.Progress {
	p := audio.Progress{Frames: min(int(to), s.x.Frames()), Total: s.x.Frames()}
	for _, row := range s.buf.recordRows() {
		if s.x.Discard { // half a round: the callback may be writing in the other half
			from = max(from, to-int64(len(row)+1)/2)
		}
		peak, rms := levels(row, from, to)
		p.PeakFS = append(p.PeakFS, peak)
		p.RMSFS = append(p.RMSFS, rms)
	}
	return p
}

// capture takes what was recorded out of the buffers. err is how the exchange
// ended.
func (s *session) capture(err error) audio.Capture {
	c := audio.Capture{RateHz: s.x.RateHz, Facts: s.facts(err)}
	if !s.x.Discard {
		c.Channels = s.buf.recorded(s.buf.position())
	}
	return c
}
