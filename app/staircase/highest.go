package staircase

import (
	"math"

	"stillroom/dsp/octave"
	"stillroom/dsp/response"
)

// Reach is how loud an octave gets below a chosen distortion.
type Reach struct {
	Band      octave.Band
	LevelDB   float64 // mean level in the octave (power, equal ratios of frequency alike) of the highest step; NaN: not known, or not even the lowest step keeps it
	LevelDBFS float64 // of that step
	Limited   bool    // the next step passed the distortion; else the staircase ended first, and it may get louder
}

// Highest tells for each octave the loudest step of which, and of all below it, no
// frequency in the octave has more than so much total harmonic distortion. A step whose
// distortion noise covers counts where it cannot be more. An octave of which the
// distortion is nowhere known is not told.
func (r *Result) Highest(thdPercent float64) []Reach {
	limitDB := 20 * math.Log10(thdPercent/100)
	var out []Reach
	for _, band := range octave.Between(1, r.Plan.Programme.LowHz, r.Plan.Programme.HighHz) {
		reach := Reach{Band: band, LevelDB: math.NaN(), LevelDBFS: math.NaN()}
		for _, s := range r.Steps {
			keeps, known := s.keeps(band, limitDB)
			if !known {
				break
			}
			if !keeps {
				reach.Limited = true
				break
			}
			if level := s.octaveDB(band); !math.IsNaN(level) {
				reach.LevelDB, reach.LevelDBFS = level, s.LevelDBFS
			}
		}
		out = append(out, reach)
	}
	return out
}

// keeps tells whether no frequency of a band has more distortion; known, whether
// anything is known of it there.
func (s Step) keeps(b octave.Band, limitDB float64) (keeps, known bool) {
	keeps = true
	for i, hz := range s.FrequencyHz {
		if hz < b.LowHz || hz >= b.HighHz {
			continue
		}
		switch thd, bound := s.THDDB[i], s.THDBoundDB[i]; {
		case thd > limitDB:
			return false, true
		case thd <= limitDB, bound <= limitDB:
			known = true
		}
	}
	return keeps, known
}

// octaveDB is the mean level in a band; NaN where not all of it is valid.
func (s Step) octaveDB(b octave.Band) float64 {
	for i, hz := range s.FrequencyHz {
		if hz >= b.LowHz && hz < b.HighHz && math.IsNaN(s.LevelDB[i]) {
			return math.NaN()
		}
	}
	return response.MeanDB(s.FrequencyHz, s.LevelDB, b.LowHz, b.HighHz)
}
