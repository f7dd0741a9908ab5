package simulated

import (
	"math"

	"stillroom/app/audio"
)

// meter finds peak and rms between two reports.
type meter struct {
	total    int
	progress func(audio.Progress) // may be nil
	peak     []float64
	sum      []float64 // of squares
	frames   int
}

func newMeter(x audio.Exchange, progress func(audio.Progress)) *meter {
	n := len(x.RecordChannels)
	return &meter{total: x.Frames(), progress: progress, peak: make([]float64, n), sum: make([]float64, n)}
}

func (m *meter) see(channel int, x []float32) {
	for _, s := range x {
		v := float64(s)
		m.peak[channel] = math.Max(m.peak[channel], math.Abs(v))
		m.sum[channel] += v * v
	}
	if channel == 0 {
		m.frames += len(x)
	}
}

// report tells the progress at a number of frames and begins anew.
func (m *meter) report(done int) {
	if m.progress == nil {
		return
	}
	p := audio.Progress{Frames: done, Total: m.total, PeakFS: make([]float64, len(m.peak)), RMSFS: make([]float64, len(m.peak))}
	for i := range m.peak {
		p.PeakFS[i] = m.peak[i]
		if m.frames > 0 {
			p.RMSFS[i] = math.Sqrt(m.sum[i] / float64(m.frames))
		}
		m.peak[i], m.sum[i] = 0, 0
	}
	m.frames = 0
	m.progress(p)
}
