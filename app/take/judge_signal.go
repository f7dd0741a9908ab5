package take

import (
	"fmt"
	"math"

	"stillroom/dsp/impulse"
)

func (s *Study) judgeSignal(a *Analysis) []Finding {
	heard := s.arrival.Likeness >= believableLikeness
	if heard && (!(a.Noise.SNRDB < noSignalDB) || a.bestDB() > 2*noSignalDB) {
		return nil // at worst a band is lost, which judgeNoise tells
	}
	if s.otherRate() != 0 {
		return nil // judgeRate tells
	}
	return one("no-signal", Void, a.Noise.SNRDB, "dB",
		"The recording does not hold what was played, or noise drowns it: nothing can be read from this take. Check the cables, the channels and the amplifier, then measure again.")
}

// bestDB is the largest distance between response and noise.
func (a *Analysis) bestDB() float64 {
	best := math.Inf(-1)
	for i, f := range a.Response.FrequencyHz {
		if f >= a.Response.ValidFromHz && f <= a.Response.ValidToHz {
			best = math.Max(best, a.Response.MagnitudeDB[i]-a.Noise.LevelDB[i])
		}
	}
	return best
}

// judgeRate tells a recording made at another rate than it claims, and one that was
// resampled from a lower rate on its way.
func (s *Study) judgeRate(*Analysis) []Finding {
	if ratio := s.otherRate(); ratio != 0 {
		return one("wrong-rate", Void, ratio*s.rateHz, "Hz",
			fmt.Sprintf("The recording runs at about %.0f Hz although %.0f Hz was asked for: every frequency is wrong. Set the device to the rate of the rig, in the system's sound settings too.", ratio*s.rateHz, s.rateHz))
	}
	if f := s.cliffHz(); f != 0 {
		return one("wrong-rate", Remark, 2*f, "Hz",
			fmt.Sprintf("Above %.0f Hz the recording holds nothing, not even noise: the system seems to record at %.0f Hz and to resample. Choose that rate, or set the device to %.0f Hz.", f, 2*f, s.rateHz))
	}
	return nil
}

// otherRate looks for the opening mark as another sample rate would have recorded
// it; 0 where the marks are in order or nowhere.
func (s *Study) otherRate() float64 {
	if s.stimulus.Mark == nil || s.arrival.Likeness >= believableLikeness {
		return 0
	}
	best, found := markContrastDB+6.0, 0.0
	for _, ratio := range []float64{44100.0 / 48000, 48000.0 / 44100, 0.5, 2, 44100.0 / 96000, 96000.0 / 44100} {
		mark := impulse.Resample(s.stimulus.Mark, (1/ratio-1)*1e6)
		if _, contrast := impulse.FindMark(mark, s.recording); contrast > best {
			best, found = contrast, ratio
		}
	}
	return found
}

// cliffHz is half of a usual lower sample rate, where the noise of the quiet part
// falls off by 25 dB and stays down; 0 where there is none.
func (s *Study) cliffHz() float64 {
	if s.quiet.Len() == 0 {
		return 0
	}
	for _, f := range []float64{22050, 24000, 44100, 48000} {
		if f > 0.8*s.rateHz/2 {
			break
		}
		below := s.noise.Band(0.8*f, 0.92*f) / (0.12 * f)
		above := s.noise.Band(1.04*f, 1.16*f) / (0.12 * f)
		if below > 0 && 10*math.Log10(below/above) > 25 {
			return f
		}
	}
	return 0
}

func (s *Study) judgeNoise(a *Analysis) []Finding {
	n := a.Noise
	poor := 0
	for _, o := range n.Octaves {
		if o.SNRDB < poorSNRDB {
			poor++
		}
	}
	switch {
	case poor == 0:
		return nil
	case 2*poor > len(n.Octaves):
		return one("low-signal", Remark, n.SNRDB, "dB",
			fmt.Sprintf("The signal is weak: from %.0f to %.0f Hz only %.0f dB above the noise. The curve moves from take to take. Raise the level, use a longer sweep, or wait for quiet.", n.SNRFromHz, n.SNRToHz, n.SNRDB))
	}
	return one("noisy-band", Remark, n.SNRDB, "dB",
		fmt.Sprintf("From %.0f to %.0f Hz the signal is only %.0f dB above the noise: that part of the curve moves from take to take. Use a longer sweep or more of them, or find what makes the noise.", n.SNRFromHz, n.SNRToHz, n.SNRDB))
}

func (s *Study) judgeHum(*Analysis) []Finding {
	if s.hum == nil {
		return nil
	}
	level := levelDB(s.hum.RMS / s.sweepRMS())
	if level < humRemarkDB {
		return nil
	}
	return one("hum", Remark, level, "dB",
		fmt.Sprintf("Mains hum at %.0f Hz, %.0f dB under the signal. It was taken out as far as it is steady. Move the microphone cable off the power lead, use one socket for all, or raise the level.", s.hum.Worst, -level))
}

func (s *Study) judgeDC(*Analysis) []Finding {
	level := levelDB(math.Abs(s.offset))
	if level < dcNoteDBFS {
		return nil
	}
	return one("dc-offset", Note, level, "dBFS",
		fmt.Sprintf("The input has a constant offset of %.0f dBFS. It was taken out and does not change the result, but it takes headroom: look at the interface and the microphone supply.", level))
}

func (s *Study) judgePolarity(a *Analysis) []Finding {
	if a.Polarity != "inverted" {
		return nil
	}
	return one("inverted", Remark, -1, "",
		"The polarity is inverted: a rising signal gives a falling pressure. Check the wiring of driver, cable and microphone; level and distortion are right.")
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
	return one("gate-short", severity, from, "Hz",
		fmt.Sprintf("The gate closes %.1f ms after the arrival, so below %.0f Hz the curve says nothing. Move device and microphone away from what reflects, or close the gate later.", a.Settings.Gate.CloseS*1e3, from))
}
