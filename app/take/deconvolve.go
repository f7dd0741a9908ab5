package take

import (
	"fmt"
	"math"
	"slices"

	"stillroom/app/rig"
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
	// sureLikeness is how much it must resemble the mark to need no other proof.
	sureLikeness = 0.5
	// believableLikeness is how much a response must look like one for its
	// polarity and arrival to be named.
	believableLikeness = 0.3
	// humClearDB is how far the strongest line must stand out to be a hum; noise
	// alone reaches 15 dB in one of a hundred.
	humClearDB = 20
	// residueKeepS is how much of the decay is explained by the response, and
	// burstDB how far a block must stand out of the rest to be a click.
	residueKeepS = 0.25
	burstDB      = 10
	// residueOctaves is over how much of the sweep the residue counts as steady.
	residueOctaves = 0.4
	// residueShape is the share of the bandwidth that the slope of noise fills, and
	// burstChance how often noise alone may be taken for a click, in one take.
	residueShape = 0.55
	burstChance  = 0.001
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
	s.raw = s.recording
	s.recording = slices.Clone(s.raw)
	if peakOf(s.raw) == 0 {
		return fmt.Errorf("%w: it is digital silence. Check the input channel, the microphone and its supply", ErrNoSignal)
	}
	if s.reference != nil {
		s.follow(s.reference)
	} else {
		s.lead()
	}
	s.listen(s.coarse)
	s.respond(s.coarse)
	s.repeats.Bands = s.agreement()
	s.rows = nil
	return nil
}

// lead finds delay and clock in the recording itself.
func (s *Study) lead() {
	s.coarse = s.place()
	s.clock = s.clocks(s.coarse)
	if s.correctable() {
		s.recording = s.clock.corrected(s.recording)
		s.clock.Corrected = true
		s.coarse = s.place()
	}
}

// follow takes delay and clock from the loopback channel, which ran beside.
func (s *Study) follow(reference *Study) {
	s.coarse, s.clock = reference.coarse, reference.clock
	if s.clock.Corrected {
		s.recording = s.clock.corrected(s.recording)
	}
}

// place returns by how many samples the recording lags what was played, found at
// the opening mark where that is believable.
func (s *Study) place() int {
	coarse, likeness := s.roughDelay()
	switch {
	case likeness >= sureLikeness:
		return coarse
	case likeness == 0:
		return s.delayByWhole()
	}
	// it may be the mark, much changed by the device: does the sweep come with it?
	lead := int(leadS * s.rateHz)
	first := s.stimulus.Layout.Sweeps[0]
	row := s.padded(first.From+coarse-lead, first.Len()+lead)
	d := impulse.NewDeconvolver(s.stimulus.Samples, s.rateHz, len(row), s.stimulus.Band)
	if lag := float64(d.Impulse(row).Peak()) / s.rateHz; math.Abs(lag-leadS) > markSlackS {
		return s.delayByWhole()
	}
	return coarse
}

// listen reads the quiet parts: noise, offset and hum, the latter two being taken
// out of the recording.
func (s *Study) listen(coarse int) {
	s.quiet = s.findQuiet(coarse)
	if s.quiet.Len() < int(0.05*s.rateHz) {
		s.quiet = excitation.Span{}
		return
	}
	s.offset = meanOf(s.recording[s.quiet.From:s.quiet.To])
	for i := range s.recording {
		s.recording[i] -= s.offset
	}
	s.noise = response.DensityOf(s.recording[s.quiet.From:s.quiet.To], s.rateHz)
	s.takeHumOut(coarse)
}

// takeHumOut fits a mains hum to the silences before and after the sweep and
// subtracts it from the recording where it is clear.
func (s *Study) takeHumOut(coarse int) {
	stretches := []response.Stretch{{From: s.quiet.From, To: s.quiet.To}}
	if l := s.stimulus.Layout; s.exact {
		from := min(l.Marks[1].To+coarse+int(0.15*s.rateHz), len(s.recording))
		stretches = append(stretches, response.Stretch{From: from, To: len(s.recording)})
	}
	hum, ok := response.FindHum(s.recording, s.rateHz, stretches)
	if !ok || hum.ClearDB < humClearDB {
		return
	}
	s.hum = &hum
	hum.Subtract(s.recording, s.rateHz)
	s.noise = response.DensityOf(s.recording[s.quiet.From:s.quiet.To], s.rateHz)
}

func meanOf(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(max(len(x), 1))
}

// respond takes the impulse response, the sweep being expected coarse samples late.
func (s *Study) respond(coarse int) {
	s.findPause(coarse)
	lead := int(leadS * s.rateHz)
	frames := lead + len(s.stimulus.Samples) + int(s.pauseS*s.rateHz)
	played, playedFrom := s.stimulus.Samples, 0
	if s.reference != nil {
		played, playedFrom = s.reference.emitted(frames), lead
	}
	d := impulse.NewDeconvolver(played, s.rateHz, frames, s.stimulus.Band)
	s.mean = s.gather(coarse-lead, frames)
	s.impulse, s.density = d.Impulse(s.mean), d.Density
	s.arrive()
	s.onsetS = s.lagS + float64(playedFrom)/s.rateHz
	s.heardS = float64(coarse-lead)/s.rateHz + s.onsetS
	if s.delayS = s.heardS; s.reference != nil {
		s.delayS = s.lagS
	}
	if s.stimulus.Log {
		residue := d.Residue(played, s.impulse, s.lagS, s.stimulus.Sweep.L(), residueKeepS)
		s.inspect(residue[:frames])
	}
}

// emitted is the averaged sweep as the loopback channel heard it, at the level of
// the one that was rendered, so that levels stay re the stimulus: the two are made
// alike at 1 kHz, or in the middle of a band that does not hold it.
func (s *Study) emitted(frames int) []float64 {
	at := float64(rig.ReferenceHz)
	if s.stimulus.LowHz > at || s.stimulus.HighHz < at {
		at = math.Sqrt(s.stimulus.LowHz * s.stimulus.HighHz)
	}
	rendered := impulse.NewDeconvolver(s.stimulus.Samples, s.rateHz, frames, s.stimulus.Band)
	heard := impulse.NewDeconvolver(s.mean[:min(frames, len(s.mean))], s.rateHz, frames, s.stimulus.Band)
	gain := math.Sqrt(rendered.Density(at) / heard.Density(at))
	out := make([]float64, frames)
	for i := range min(frames, len(s.mean)) {
		out[i] = gain * s.mean[i]
	}
	return out
}

// inspect looks for clicks and slams in what the sweep does not explain, between
// the arrival of the fully excited band and its end.
func (s *Study) inspect(residue []float64) {
	sweep := s.stimulus.Sweep
	from := int((s.onsetS + sweep.TimeAt(s.stimulus.LowHz)) * s.rateHz)
	to := int((s.onsetS + sweep.TimeAt(s.stimulus.HighHz)) * s.rateHz)
	from, to = min(max(from, 0), len(residue)), min(max(to, 0), len(residue))
	residue = residue[from:max(from, to)]
	s.residueRMS = math.Sqrt(powerOf(residue))
	for _, b := range impulse.FindBursts(residue, s.rateHz, burstDB, s.steadyS()) {
		b.At += from
		if b.ClearDB > s.noiseRiseDB(b.At, len(residue)) {
			s.clicks = append(s.clicks, b)
		}
	}
}

// steadyS is how long the residue keeps its level. What is taken out of it follows the
// sweep, so that its bandwidth, and with it the level of its noise, doubles with each
// octave of the sweep.
func (s *Study) steadyS() float64 { return residueOctaves * math.Ln2 * s.stimulus.Sweep.L() }

// noiseRiseDB is how far noise alone may stand out of the residue at a sample. What is
// left there lies below the frequency that the sweep passed residueKeepS before, and
// above the highest order taken out; where the sweep is short that is a narrow band,
// and a block of it varies much.
func (s *Study) noiseRiseDB(at, samples int) float64 {
	nowS := float64(at)/s.rateHz - s.onsetS
	sweep := s.stimulus.Sweep
	left := sweep.FrequencyAt(nowS-residueKeepS) + math.Max(0, s.rateHz/2-impulse.ResidueOrders*sweep.FrequencyAt(nowS))
	blocks := float64(samples) / s.rateHz / impulse.ClickS
	return impulse.NoiseRiseDB(residueShape*left, impulse.ClickS, burstChance/blocks)
}

func powerOf(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return sum / float64(max(len(x), 1))
}

// arrive finds the arrival and the first reflection in the impulse response.
func (s *Study) arrive() {
	s.arrival = impulse.FindArrival(s.impulse)
	s.lagS = s.arrival.DelayS
	if r, ok := impulse.FirstReflection(s.impulse, s.lagS); ok {
		s.reflection = &r
	}
}

// roughDelay finds the opening mark: the delay of the recording against what was
// played, in samples, and how much what is there resembles the mark; 0 where nothing
// stands out.
func (s *Study) roughDelay() (samples int, likeness float64) {
	if s.stimulus.Mark == nil {
		return 0, 0
	}
	mark, closing := s.stimulus.Layout.Marks[0], s.stimulus.Layout.Marks[1]
	// not so far that the closing mark, which is the same, comes into view
	piece := s.piece(mark.From, min(mark.To+int(markSearchS*s.rateHz), closing.From))
	at, contrast := impulse.FindMark(s.stimulus.Mark, piece)
	if contrast < markContrastDB {
		return 0, 0
	}
	_, likeness = impulse.Delay(s.stimulus.Mark, piece[at:min(at+mark.Len(), len(piece))], s.rateHz, s.stimulus.MarkLow, s.stimulus.MarkTop)
	return at, math.Max(likeness, 1e-9)
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
	s.missing = math.Max(0, -float64(end)/s.rateHz)
	s.pauseS = math.Min(math.Max(shortestPauseS, float64(end)/s.rateHz), longestPauseS)
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
