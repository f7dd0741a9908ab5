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
			to := s.leading().buf.position()
			progress(s.progress(from, to))
			from = to
		}
	}()
	return func() { close(quit); <-gone }
}

// progress measures the frames from..to of the stream that records, or the end of
// them where the recording goes round faster than it is reported.
func (s *session) progress(from, to int64) audio.Progress {
	begins := s.begins.Load()
	p := audio.Progress{Total: s.x.Frames()}
	if begins != notYet {
		p.Frames = min(int(max(0, to-begins)), p.Total)
	}
	if s.record == nil {
		return p
	}
	for _, row := range s.record.buf.recordRows() {
		if s.x.Discard || begins == notYet { // half a round: the callback may be writing in the other half
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
	c := audio.Capture{RateHz: s.x.RecordRateHz(), Facts: s.facts(err)}
	if s.record != nil && !s.x.Discard {
		c.Channels = s.record.buf.recorded(s.span())
	}
	return c
}
