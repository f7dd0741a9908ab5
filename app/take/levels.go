package take

import (
	"fmt"
	"math"
	"math/cmplx"

	"stillroom/dsp/level"
)

// scale is how levels re the stimulus become what was asked for: decibels to add,
// and the unit.
type scale struct {
	addDB float64
	unit  string
}

// scaleFor returns the scale for the settings. Where a calibration is missing that
// it needs, levels stay re the stimulus and the unit says so.
func (s *Study) scaleFor(set Settings) scale {
	plain := scale{0, "dB re the stimulus"}
	if set.Level == ReStimulus {
		return plain
	}
	volts, what, ok := s.drive(set.Level)
	if s.chain == nil || math.IsNaN(s.chain.PascalAtFS) || !ok {
		plain.unit = "dB re the stimulus, not calibrated for " + set.Level.words()
		return plain
	}
	// a sine of 0 dBFS played makes H·PascalAtFS; the sweep plays at its own level
	add := level.SPL(s.chain.PascalAtFS)
	if set.Level == SPL {
		add += s.levelDBFS
	} else {
		add += level.DBFS(volts, s.chain.VoltsAtFS)
	}
	out := scale{add, "dB SPL" + what}
	if set.OneMetre && s.distance() > 0 {
		out.addDB += level.DB(s.distance())
		out.unit += " at 1 m"
	}
	return out
}

// words names a level as a person would.
func (l Level) words() string {
	switch l {
	case SPLAt2V83:
		return "dB SPL for 2.83 V"
	case SPLAt1W:
		return "dB SPL for 1 W"
	case PerVolt:
		return "dB SPL for 1 V"
	case PerMilliwatt:
		return "dB SPL for 1 mW"
	}
	return "dB SPL"
}

// drive returns the voltage that a level is for. ok is false where it needs a
// calibration or an impedance that is not known.
func (s *Study) drive(l Level) (volts float64, what string, ok bool) {
	calibrated := s.chain != nil && !math.IsNaN(s.chain.VoltsAtFS)
	ohm := s.rig.RatedImpedanceOhm
	switch l {
	case SPL:
		return 0, "", true
	case SPLAt2V83:
		return 2.83, " for 2.83 V", calibrated
	case PerVolt:
		return 1, " for 1 V", calibrated
	case SPLAt1W:
		return level.VoltsForWatts(1, ohm), fmt.Sprintf(" for 1 W into %g Ω", ohm), calibrated && ohm > 0
	case PerMilliwatt:
		return level.VoltsForWatts(1e-3, ohm), fmt.Sprintf(" for 1 mW into %g Ω", ohm), calibrated && ohm > 0
	}
	return 0, "", false
}

// distance is how far the sound went, in m: by time of flight with a loopback, as
// the rig says without.
func (s *Study) distance() float64 {
	if s.reference != nil {
		return s.lagS * speedOfSound
	}
	return s.rig.DistanceM
}

// correction returns the factors that take microphone, interface and fixture out,
// once each.
func (s *Study) correction(f []float64) []complex128 {
	if s.chain == nil {
		out := make([]complex128, len(f))
		for i := range out {
			out[i] = 1
		}
		return out
	}
	return s.chain.Correct(f)
}

// correctionDB is the magnitude of the correction, in dB.
func (s *Study) correctionDB(f []float64) []float64 {
	out := make([]float64, len(f))
	for i, c := range s.correction(f) {
		out[i] = level.DB(cmplx.Abs(c))
	}
	return out
}

// uncertainty returns the expanded uncertainty of the response, in dB, coverage
// factor 2, by combining standard uncertainties as JCGM 100:2008 (5.1.2) says for
// inputs that do not correlate: noise, by 8.686/√2 of its ratio to the response
// (each phase between them being as likely; before smoothing, so at most this);
// the spread of the repeats over the root of their number; the level calibration,
// where levels are in pascals; and the microphone's curve, where one is used.
func (s *Study) uncertainty(r Response, n Noise, set Settings) []float64 {
	fixed := 0.0
	if s.chain != nil {
		if u := s.chain.CurveUncertaintyDB; s.chain.Microphone != nil && u > 0 {
			fixed += u * u
		}
		if u := s.chain.LevelUncertaintyDB; set.Level != ReStimulus && u > 0 {
			fixed += u * u
		}
	}
	out := make([]float64, len(r.FrequencyHz))
	for i, f := range r.FrequencyHz {
		noise := ratioDB(math.Pow(10, (n.LevelDB[i]-r.MagnitudeDB[i])/20)) / math.Sqrt2
		repeat := s.spreadAt(f) / math.Sqrt(float64(max(s.repeats.Averaged, 1)))
		out[i] = 2 * math.Sqrt(fixed+noise*noise+repeat*repeat)
	}
	return out
}

// spreadAt is the spread of one repeat in the octave around f, in dB, what noise
// explains of it taken out, since noise is counted apart.
func (s *Study) spreadAt(f float64) float64 {
	for _, b := range s.repeats.Bands {
		if f >= b.FromHz && f <= b.ToHz {
			return math.Sqrt(math.Max(0, b.SpreadDB*b.SpreadDB-b.NoiseDB*b.NoiseDB))
		}
	}
	return 0
}
