package take

import (
	"fmt"
	"math"
)

func (s *Study) judgeClipping(*Analysis) []Finding {
	from, to, n := clipped(s.raw)
	if n == 0 {
		return nil
	}
	where := ""
	if s.stimulus.Log && len(s.stimulus.Layout.Sweeps) == 1 {
		start := s.stimulus.Layout.Sweeps[0].From
		at := func(sample int) float64 {
			f := s.stimulus.Sweep.FrequencyAt(float64(sample-start)/s.rateHz - s.heardS)
			return math.Min(math.Max(f, s.stimulus.LowHz), s.stimulus.HighHz)
		}
		where = fmt.Sprintf(", while the sweep passed %.0f to %.0f Hz", at(from), at(to))
	}
	return one("clipped", Void, float64(n), "samples",
		fmt.Sprintf("The recording is clipped at %d samples%s: level and distortion are wrong there. Turn the microphone gain or the sweep level down, then measure again.", n, where))
}

// clipped counts the samples in runs of equal values at the extremes of a
// recording, and tells the first and the last.
func clipped(x []float64) (from, to, count int) {
	peak := peakOf(x)
	if peak < 1e-3 {
		return 0, 0, 0
	}
	run := 1
	for i := 1; i <= len(x); i++ {
		if i < len(x) && x[i] == x[i-1] && math.Abs(x[i]) >= 0.98*peak {
			run++
			continue
		}
		if run >= clippedRun {
			if count == 0 {
				from = i - run
			}
			to, count = i-1, count+run
		}
		run = 1
	}
	return from, to, count
}

// judgeLoss tells samples that are missing or stand twice.
func (s *Study) judgeLoss(*Analysis) []Finding {
	const code, do = "lost-samples", " Close other programs that use sound, choose a lower sample rate, then measure again."
	events, gaps := len(s.facts.Flags), s.gaps()
	switch {
	case s.missing > missingS:
		return one(code, Void, s.missing*s.rateHz, "samples",
			fmt.Sprintf("The recording ends %.0f ms before the sweep does: the highest frequencies are missing. Record longer than you play; if the sound system is so late, close what loads it or use a device without a sound server.", s.missing*1e3))
	case gaps > 0:
		return one(code, Void, float64(gaps), "samples",
			fmt.Sprintf("The recording falls silent in mid-sweep, for %d samples in all: the sound system could not keep up.", gaps)+do)
	case len(s.repeats.Slipped) > 0 || s.shifted:
		return one(code, Remark, math.Abs(float64(s.clock.Lost)), "samples",
			fmt.Sprintf("Samples are missing between or within the repeats. Those that are whole were lined up and averaged, %d of %d.", s.repeats.Averaged, s.repeats.Played)+do)
	case s.clock.Lost != 0 || s.facts.LostFrames > 0:
		n := math.Max(math.Abs(float64(s.clock.Lost)), float64(s.facts.LostFrames))
		return one(code, Void, n, "samples",
			fmt.Sprintf("%.0f samples are missing from the recording or stand twice in it: time and phase are wrong.", n)+do)
	case events > 0:
		return one(code, Remark, float64(events), "events",
			fmt.Sprintf("The sound card reported %d gaps while it recorded, the first as %q. The timing marks are where they should be, but measure again to be sure.", events, s.facts.Flags[0].What))
	}
	return nil
}

// gaps counts the samples of exact silence that stand in the middle of sounding
// parts of a sweep: what a sound system writes when it has nothing in time.
func (s *Study) gaps() int {
	peak, count := peakOf(s.raw), 0
	edge := int(0.001 * s.rateHz)
	for _, sweep := range s.stimulus.Layout.Sweeps {
		from := min(max(sweep.From+int(s.heardS*s.rateHz), 0), len(s.raw))
		x := s.raw[from:min(from+sweep.Len(), len(s.raw))]
		for i := 0; i < len(x); i++ {
			run := 0
			for i+run < len(x) && x[i+run] == 0 {
				run++
			}
			if run >= gapRun && peakOf(x[max(0, i-edge):i]) > gapLevel*peak && peakOf(x[i+run:min(len(x), i+run+edge)]) > gapLevel*peak {
				count += run
			}
			i += run
		}
	}
	return count
}

func (s *Study) judgeClock(*Analysis) []Finding {
	if !s.clock.Corrected {
		return nil
	}
	return one("clock-drift", Note, s.clock.DriftPPM, "ppm",
		fmt.Sprintf("The clocks of output and input differ by %.2f ppm. The recording was resampled to the playing clock, so that level and phase are right. One device for both would need no correction.", s.clock.DriftPPM))
}

// judgeStart compares the opening mark with the closing one.
func (s *Study) judgeStart(*Analysis) []Finding {
	change, ok := s.markChangeDB()
	if !ok || change > fadedDB {
		return nil
	}
	severity := Remark
	if change < mutedDB {
		severity = Void
	}
	return one("start-muted", severity, change, "dB",
		fmt.Sprintf("The start was muted or faded in: the opening mark is %.1f dB weaker than the closing one, and the low end of the sweep may be too. Switch off what saves power in the converter or the amplifier, or play something quiet just before.", -change))
}

// markChangeDB is the level of the opening mark re the closing one.
func (s *Study) markChangeDB() (float64, bool) {
	l := s.stimulus.Layout
	if len(l.Marks) != 2 {
		return 0, false
	}
	energy := func(i int) float64 {
		from := l.Marks[i].From + int(s.heardS*s.rateHz)
		return powerOf(s.piece(from, from+l.Marks[i].Len()+int(0.05*s.rateHz)))
	}
	noise := 0.0
	if s.quiet.Len() > 0 {
		noise = powerOf(s.recording[s.quiet.From:s.quiet.To])
	}
	a, b := math.Max(energy(0)-noise, 0.1*noise), energy(1)-noise
	if a == 0 || b <= 10*noise {
		return 0, false
	}
	return 10 * math.Log10(a/b), true
}

// judgeProcessing tells a path that changes with time or with the signal.
func (s *Study) judgeProcessing(*Analysis) []Finding {
	const do = " Switch off noise suppression, automatic gain and echo cancelling in the system's input settings, then measure again."
	if change, ok := s.markChangeDB(); ok && change > -fadedDB {
		return one("processed-input", Void, change, "dB",
			fmt.Sprintf("The gain fell by %.1f dB while the sweep ran: something in the path turns the level down by itself.", change)+do)
	}
	if s.quiet.Len() == 0 || !s.stimulus.Log {
		return nil
	}
	quiet := math.Sqrt(powerOf(s.recording[s.quiet.From:s.quiet.To]))
	over := levelDB(s.residueRMS / quiet)
	if over > processedDB && s.residueRMS > 0.003*s.sweepRMS() {
		return one("processed-input", Remark, over, "dB",
			fmt.Sprintf("What the sweep does not explain is %.0f dB louder than the silence before it: something mutes the input in quiet, or the device buzzes badly.", over)+do)
	}
	return nil
}

func (s *Study) judgeClicks(*Analysis) []Finding {
	if len(s.clicks) == 0 || s.clock.Lost != 0 {
		return nil
	}
	worst := s.clicks[0]
	for _, c := range s.clicks {
		if c.ClearDB > worst.ClearDB {
			worst = c
		}
	}
	return one("click", Remark, worst.ClearDB, "dB",
		fmt.Sprintf("Something clicked or slammed %s while the sweep ran, the worst %.0f dB over the rest, when the sweep passed %.0f Hz. Response and distortion are disturbed there. Measure again in quiet; with three sweeps or more such moments are left out.", often(len(s.clicks)), worst.ClearDB, s.excitationAt(worst.At)))
}

// often is a count in words.
func often(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

func (s *Study) judgeRepeats(*Analysis) []Finding {
	var out []Finding
	if n := len(s.repeats.Spoiled); n > 0 {
		out = one("repeats-differ", Note, float64(n), "repeats",
			fmt.Sprintf("A click or a slam spoiled stretches of %d of the %d sweeps; they were left out of the average.", n, s.repeats.Played))
	}
	worst, at := 0.0, Agreement{}
	for _, b := range s.repeats.Bands {
		if excess := math.Sqrt(math.Max(0, b.SpreadDB*b.SpreadDB-b.NoiseDB*b.NoiseDB)); excess > worst && b.SpreadDB > 2*b.NoiseDB {
			worst, at = excess, b
		}
	}
	if worst < differDB {
		return out
	}
	why := "Find what moves: the device, the microphone, a door."
	if at.ToHz > 4000 {
		why = "Moving air and changing temperature spoil the high bands first: one longer sweep is then better than repeats."
	}
	return append(out, one("repeats-differ", Remark, worst, "dB",
		fmt.Sprintf("From %.0f to %.0f Hz the repeats differ by %.2f dB, more than noise explains, so their average is too low there. %s", at.FromHz, at.ToHz, worst, why))...)
}
