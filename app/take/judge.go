package take

import "math"

// Limits of the findings. What a person is told is in the files judge_*.go.
const (
	noSignalDB  = 3  // best case: nothing stands out of the noise
	poorSNRDB   = 20 // an octave below this moves from take to take
	clippedRun  = 3  // equal extreme samples in a row
	gapRun      = 32 // samples of exact silence in mid-sweep
	gapLevel    = 0.01
	missingS    = 0.001 // of the sweep's end
	dcNoteDBFS  = -50
	shortGateHz = 1000
	humRemarkDB = -70 // re the recorded sweep
	fadedDB     = -1  // first mark re the last
	mutedDB     = -6
	processedDB = 30 // what the sweep does not explain, over the noise of the quiet part
	differDB    = 0.3
)

// judge says what is wrong with the take, worst first.
func (s *Study) judge(a *Analysis) []Finding {
	if s.in != nil {
		return s.judgeImpulses(a)
	}
	var out []Finding
	for _, check := range []func(*Analysis) []Finding{
		s.judgeSignal, s.judgeRate, s.judgeClipping, s.judgeLoss, s.judgeClock, s.judgeStart, s.judgeProcessing,
		s.judgeClicks, s.judgeRepeats, s.judgeNoise, s.judgeHum, s.judgeDC, s.judgePolarity, s.judgeGate, s.judgeCalibrations, s.judgeLimit,
	} {
		out = append(out, check(a)...)
	}
	return bySeverity(out)
}

// bySeverity puts the worst first, in their order otherwise.
func bySeverity(out []Finding) []Finding {
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

// one is a list of one finding.
func one(code string, severity Severity, value float64, unit, message string) []Finding {
	return []Finding{{code, severity, value, unit, message}}
}

// levelDB is 20 lg of a magnitude.
func levelDB(v float64) float64 { return 20 * math.Log10(v) }

// sweepRMS is the root mean square of the recorded sweep.
func (s *Study) sweepRMS() float64 {
	first := s.stimulus.Layout.Sweeps
	if len(first) == 0 {
		return math.Sqrt(powerOf(s.recording))
	}
	from := first[0].From + int(s.heardS*s.rateHz)
	return math.Sqrt(powerOf(s.piece(from, from+first[0].Len())))
}

// excitationAt is the frequency of the sweep at a sample of its averaged recording.
func (s *Study) excitationAt(sample int) float64 {
	return s.stimulus.Sweep.FrequencyAt(float64(sample)/s.rateHz - s.onsetS)
}
