package take

import (
	"fmt"
	"math"
)

// Limits of the findings.
const (
	clippedRun    = 3    // equal extreme samples in a row
	lowSNRDB      = 20   // worst octave
	noSignalDB    = 3    // best case: nothing stands out of the noise
	lostPPM       = 500  // more than any two clocks differ by
	notedPPM      = 1    // a drift that bends phase by a degree or two
	dcRemarkDBFS  = -50  // of the quiet part's mean
	gapRun        = 32   // samples of exact silence
	gapLevel      = 0.01 // re the peak, on both sides of it
	missingLimitS = 0.001
	shortGateHz   = 1000 // valid from above this: hardly a response
)

// judge says what is wrong with the take, worst first.
func (s *Study) judge(a *Analysis) []Finding {
	var out []Finding
	for _, check := range []func(*Analysis) []Finding{
		s.judgeSignal, s.judgeClipping, s.judgeClock, s.judgeNoise, s.judgeDC, s.judgePolarity, s.judgeGate,
	} {
		out = append(out, check(a)...)
	}
	var ordered []Finding
	for _, severity := range []Severity{Void, Remark, Note} {
		for _, f := range out {
			if f.Severity == severity {
				ordered = append(ordered, f)
			}
		}
	}
	return ordered
}

// Void reports whether any finding says that the take must not be used.
func (a *Analysis) Void() bool {
	for _, f := range a.Findings {
		if f.Severity == Void {
			return true
		}
	}
	return false
}

func (s *Study) judgeSignal(a *Analysis) []Finding {
	snr := a.Noise.SNRDB
	if s.arrival.Likeness >= believableLikeness && !(snr < noSignalDB) {
		return nil
	}
	if s.arrival.Likeness >= believableLikeness && a.bestOctaveDB() > 2*noSignalDB {
		return nil // a band is lost, which judgeNoise tells
	}
	return []Finding{{"no-signal", Void, snr, "dB",
		"The recording does not hold what was played, or noise drowns it: nothing can be read from this take. Check the cables, the channels and the amplifier, then measure again."}}
}

// bestOctaveDB is the largest distance between response and noise over an octave.
func (a *Analysis) bestOctaveDB() float64 {
	best := math.Inf(-1)
	for i, f := range a.Response.FrequencyHz {
		if f >= a.Response.ValidFromHz && f <= a.Response.ValidToHz {
			best = math.Max(best, a.Response.MagnitudeDB[i]-a.Noise.LevelDB[i])
		}
	}
	return best
}

func (s *Study) judgeClipping(*Analysis) []Finding {
	n := clippedSamples(s.recording)
	if n == 0 {
		return nil
	}
	return []Finding{{"clipped", Void, float64(n), "samples",
		fmt.Sprintf("The recording is clipped at %d samples: level and distortion are wrong. Turn the microphone gain or the sweep level down, then measure again.", n)}}
}

// clippedSamples counts the samples in runs of equal values at the extremes of a
// recording, or at full scale.
func clippedSamples(x []float64) int {
	peak := peakOf(x)
	if peak < 1e-3 {
		return 0
	}
	count, run := 0, 1
	for i := 1; i <= len(x); i++ {
		if i < len(x) && x[i] == x[i-1] && math.Abs(x[i]) >= 0.98*peak {
			run++
			continue
		}
		if run >= clippedRun {
			count += run
		}
		run = 1
	}
	return count
}

func (s *Study) judgeClock(*Analysis) []Finding {
	if n := s.gaps(); n > 0 {
		return []Finding{{"lost-samples", Void, float64(n), "samples",
			fmt.Sprintf("The recording falls silent in mid-sweep, for %d samples in all: the sound system could not keep up. Close other programs that use sound, then measure again.", n)}}
	}
	lost := math.Abs(s.markOffS) * s.rateHz
	events := len(s.facts.Flags)
	switch {
	case s.missingS > missingLimitS:
		return []Finding{{"lost-samples", Void, s.missingS * s.rateHz, "samples",
			fmt.Sprintf("The recording ends %.0f ms before the sweep does: the highest frequencies are missing. Record longer than you play; if the sound system is so late, close what loads it or use a device without a sound server.", s.missingS*1e3)}}
	case s.facts.LostFrames > 0 || math.Abs(s.driftPPM) > lostPPM:
		return []Finding{{"lost-samples", Void, math.Max(lost, float64(s.facts.LostFrames)), "samples",
			"Samples are missing from the recording or stand twice in it: time and phase are wrong. Close other programs that use sound, choose a lower sample rate, then measure again."}}
	case events > 0:
		return []Finding{{"lost-samples", Remark, float64(events), "events",
			fmt.Sprintf("The sound card reported %d gaps while it recorded, the first as %q. The timing marks are where they should be, but measure again to be sure.", events, s.facts.Flags[0].What)}}
	case math.Abs(s.driftPPM) > notedPPM:
		return []Finding{{"clock-drift", Remark, s.driftPPM, "ppm",
			fmt.Sprintf("The clocks of output and input differ by %.1f ppm: the level is right, the phase is bent and repeats were not averaged. Use one device for both.", s.driftPPM)}}
	}
	return nil
}

// gaps counts the samples of exact silence that stand in the middle of sounding
// parts of a sweep: what a sound system writes when it has nothing in time.
func (s *Study) gaps() int {
	peak, count := peakOf(s.recording), 0
	edge := int(0.001 * s.rateHz)
	for _, sweep := range s.stimulus.Layout.Sweeps {
		from := sweep.From + int(s.delayS*s.rateHz)
		x := s.piece(from, from+sweep.Len())
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

func (s *Study) judgeNoise(a *Analysis) []Finding {
	n := a.Noise
	if math.IsNaN(n.SNRDB) || n.SNRDB >= lowSNRDB {
		return nil
	}
	return []Finding{{"low-signal", Remark, n.SNRDB, "dB",
		fmt.Sprintf("From %.0f to %.0f Hz the signal is only %.0f dB above the noise: that part of the curve moves from take to take. Raise the level, use a longer sweep, or wait for quiet.", n.SNRFromHz, n.SNRToHz, n.SNRDB)}}
}

func (s *Study) judgeDC(*Analysis) []Finding {
	if s.quiet.Len() == 0 {
		return nil
	}
	sum := 0.0
	for _, v := range s.recording[s.quiet.From:s.quiet.To] {
		sum += v
	}
	level := 20 * math.Log10(math.Abs(sum)/float64(s.quiet.Len()))
	if level < dcRemarkDBFS {
		return nil
	}
	return []Finding{{"dc-offset", Note, level, "dBFS",
		fmt.Sprintf("The input has a constant offset of %.0f dBFS. It does not change the result, but it takes headroom: look at the interface and the microphone supply.", level)}}
}

func (s *Study) judgePolarity(a *Analysis) []Finding {
	if a.Polarity != "inverted" {
		return nil
	}
	return []Finding{{"inverted", Remark, -1, "",
		"The polarity is inverted: a rising signal gives a falling pressure. Check the wiring of driver, cable and microphone; level and distortion are right."}}
}

func (s *Study) judgeGate(a *Analysis) []Finding {
	from := a.Response.ValidFromHz
	if from <= 1.01*s.stimulus.LowHz {
		return nil
	}
	severity := Note
	if from > shortGateHz {
		severity = Remark
	}
	return []Finding{{"gate-short", severity, from, "Hz",
		fmt.Sprintf("The gate closes %.1f ms after the arrival, so below %.0f Hz the curve says nothing. Move device and microphone away from what reflects, or close the gate later.", a.Settings.Gate.CloseS*1e3, from)}}
}
