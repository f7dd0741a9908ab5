package take

import (
	"fmt"
	"math"

	"stillroom/dsp/excitation"
	"stillroom/dsp/impulse"
	"stillroom/dsp/response"
)

const (
	// leadS is how much of the recording before the sweep goes into the
	// deconvolution, so that an arrival a little early is not cut.
	leadS = 0.02
	// markContrastDB is how far a timing mark must stand out to be believed.
	markContrastDB = 14
	// markSearchS is how late the mark is looked for, and markSlackS how far the
	// arrival may lie from it.
	markSearchS = 3
	markSlackS  = 0.01
	// believableLikeness is how much a response must look like one for its
	// polarity and arrival to be named.
	believableLikeness = 0.3
	// averagingCycles is how far repeats may slide against each other, in periods
	// of the highest frequency, and still be averaged as they are.
	averagingCycles = 0.02
	// A decay is followed this far after the sweep, at least and at most.
	shortestPauseS = 0.02
	longestPauseS  = 3
)

// deconvolve fills the study: rough delay, drift, average of the repeats, impulse
// response, arrival, first reflection, noise.
func (s *Study) deconvolve() error {
	if len(s.recording) < len(s.stimulus.Samples)/2 {
		return fmt.Errorf("the recording (%.2f s) is much shorter than what was played (%.2f s): record all of it",
			float64(len(s.recording))/s.rateHz, float64(len(s.stimulus.Samples))/s.rateHz)
	}
	if peakOf(s.recording) == 0 {
		return fmt.Errorf("%w: it is digital silence. Check the input channel, the microphone and its supply", ErrNoSignal)
	}
	coarse, marked := s.roughDelay()
	if !marked {
		coarse = s.delayByWhole()
	}
	s.respond(coarse)
	if marked && math.Abs(s.lagS-leadS) > markSlackS {
		// what looked like the mark was none: the sweep did not arrive with it
		coarse = s.delayByWhole()
		s.respond(coarse)
	}
	s.quiet = s.findQuiet(coarse)
	if s.quiet.Len() >= int(0.05*s.rateHz) {
		s.noise = response.DensityOf(s.recording[s.quiet.From:s.quiet.To], s.rateHz)
	} else {
		s.quiet = excitation.Span{}
	}
	return nil
}

// respond takes the impulse response, the sweep being expected coarse samples late.
func (s *Study) respond(coarse int) {
	s.clocks(coarse)
	s.findPause(coarse)
	lead := int(leadS * s.rateHz)
	frames := lead + len(s.stimulus.Samples) + int(s.pauseS*s.rateHz)
	d := impulse.NewDeconvolver(s.stimulus.Samples, s.rateHz, frames, s.stimulus.Band)
	s.impulse, s.density = d.Impulse(s.average(coarse-lead, frames)), d.Density
	s.arrive(coarse - lead)
}

// arrive finds the arrival and the first reflection in the impulse response, whose
// lag 0 stands offset samples after the start of the sweep as played.
func (s *Study) arrive(offset int) {
	s.arrival = impulse.FindArrival(s.impulse)
	s.lagS = s.arrival.DelayS
	s.delayS = float64(offset)/s.rateHz + s.lagS
	if r, ok := impulse.FirstReflection(s.impulse, s.lagS); ok {
		s.reflection = &r
	}
}

// roughDelay finds the opening mark: the delay of the recording against what was
// played, in samples.
func (s *Study) roughDelay() (int, bool) {
	if s.stimulus.Mark == nil {
		return 0, false
	}
	mark := s.stimulus.Layout.Marks[0]
	piece := s.piece(mark.From, mark.To+int(markSearchS*s.rateHz))
	at, contrast := impulse.FindMark(s.stimulus.Mark, piece)
	return at, contrast > markContrastDB
}

// delayByWhole finds the delay by deconvolving the whole recording: for stimuli
// without a mark, or a device that does not pass it.
func (s *Study) delayByWhole() int {
	first := s.stimulus.Layout.Sweeps[0]
	frames := max(len(s.recording), len(s.stimulus.Samples))
	d := impulse.NewDeconvolver(s.stimulus.Samples, s.rateHz, frames, s.stimulus.Band)
	h := d.Impulse(s.recording)
	at, n := 0, len(h.Samples)
	best := -1.0
	for i, v := range h.Samples {
		if a := math.Abs(v); a > best {
			best, at = a, i
		}
	}
	if at > n-len(s.stimulus.Samples)/2 && at > len(s.recording)-len(s.stimulus.Samples)/2 {
		at -= n // the recording began after the stimulus did
	}
	return at - first.From
}

// piece returns part of the recording, as far as it goes.
func (s *Study) piece(from, to int) []float64 {
	from = min(max(from, 0), len(s.recording))
	return s.recording[from:min(max(to, from), len(s.recording))]
}

// clocks compares the clock of the recording with that of the playing by the
// distance between the two marks, or between the first and the last repeat.
func (s *Study) clocks(coarse int) {
	s.driftPPM, s.markOffS = math.NaN(), math.NaN()
	var first, last excitation.Span
	low, high := s.stimulus.MarkLow, s.stimulus.MarkTop
	switch l := s.stimulus.Layout; {
	case len(l.Marks) == 2:
		first, last = l.Marks[0], l.Marks[1]
	case len(l.Sweeps) > 1:
		first, last = l.Sweeps[0], l.Sweeps[len(l.Sweeps)-1]
		low, high = s.stimulus.LowHz, s.stimulus.HighHz
	default:
		return
	}
	margin := int(0.03 * s.rateHz)
	a := s.piece(first.From+coarse-margin, first.To+coarse+4*margin)
	b := s.piece(last.From+coarse-margin, last.To+coarse+4*margin)
	if len(a) == 0 || len(a) != len(b) {
		return
	}
	off, confidence := impulse.Delay(a, b, s.rateHz, low, high)
	if confidence < 0.5 {
		return
	}
	s.markOffS = off / s.rateHz
	s.driftPPM = 1e6 * off / float64(last.From-first.From)
}

// findPause tells how long the recording goes on after each sweep undisturbed.
func (s *Study) findPause(coarse int) {
	l := s.stimulus.Layout
	end := len(s.recording)
	for i, sweep := range l.Sweeps {
		next := len(s.recording) - coarse
		if i+1 < len(l.Sweeps) {
			next = l.Sweeps[i+1].From
		} else if len(l.Marks) == 2 {
			next = min(next, l.Marks[1].From)
		}
		end = min(end, next-sweep.To)
	}
	s.missingS = math.Max(0, -float64(end)/s.rateHz)
	s.pauseS = math.Min(math.Max(shortestPauseS, float64(end)/s.rateHz), longestPauseS)
}

// average is the mean of the recorded sweeps, each from offset before its place as
// played. Over clocks that drift no average is taken: the first stands alone.
func (s *Study) average(offset, frames int) []float64 {
	sweeps := s.stimulus.Layout.Sweeps
	if math.Abs(s.markOffS)*s.stimulus.HighHz > averagingCycles {
		sweeps = sweeps[:1]
	}
	out := make([]float64, frames)
	for _, sweep := range sweeps {
		at := sweep.From + offset
		for i := range out {
			if j := at + i; j >= 0 && j < len(s.recording) {
				out[i] += s.recording[j]
			}
		}
	}
	for i := range out {
		out[i] /= float64(len(sweeps))
	}
	s.averaged = len(sweeps)
	return out
}

// findQuiet returns the part of the recording in which only noise is heard: the
// silence of our programme, or what comes before the arrival, or the end.
func (s *Study) findQuiet(coarse int) excitation.Span {
	n := len(s.recording)
	clip := func(from, to int) excitation.Span {
		from, to = min(max(from, 0), n), min(max(to, 0), n)
		return excitation.Span{From: from, To: max(from, to)}
	}
	if l := s.stimulus.Layout; s.exact {
		return clip(l.Silence.From+coarse+int(0.08*s.rateHz), l.Silence.To+coarse-int(0.01*s.rateHz))
	}
	silence, last := s.stimulus.Layout.Silence, s.stimulus.Layout.Sweeps[len(s.stimulus.Layout.Sweeps)-1]
	from := int(0.01 * s.rateHz)
	if silence.From > 0 { // something sounded before it: let that decay
		from = silence.From + coarse + int(0.1*s.rateHz)
	}
	before := clip(from, silence.To+coarse-int(0.01*s.rateHz))
	after := clip(last.To+coarse+int(0.5*s.rateHz), n)
	if before.Len() >= after.Len() {
		return before
	}
	return after
}

func peakOf(x []float64) float64 {
	peak := 0.0
	for _, v := range x {
		if a := math.Abs(v); a > peak {
			peak = a
		}
	}
	return peak
}
