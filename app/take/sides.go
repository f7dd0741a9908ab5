package take

import (
	"fmt"
	"math"

	"stillroom/dsp/response"
)

// How well the two sides of a headphone match where it is well made: within so many
// dB in each octave from 100 Hz to 8 kHz (common practice).
const (
	matchDB     = 1.0
	matchFromHz = 100
	matchToHz   = 8000
)

// Sides is how left and right differ.
type Sides struct {
	FrequencyHz []float64
	LevelDB     []float64 // left less right; NaN where either is not known
	Octaves     []Difference
	WorstDB     float64 // magnitude of the greatest difference per octave from 100 Hz to 8 kHz; NaN where nothing is known there
	WorstAt     Band
	Findings    []Finding // a note where it is more than is usual
}

// Difference is how far left lies above right in an octave.
type Difference struct {
	Band
	LevelDB float64 // mean over the octave
}

// Compare tells how left and right differ, each the mean of its seatings. It fails
// with ErrUnlike as Together does.
func Compare(left, right Group) (Sides, error) {
	a := &Analysis{Settings: left.Settings, Unit: left.Unit, RateHz: left.RateHz, Response: left.Mean}
	b := &Analysis{Settings: right.Settings, Unit: right.Unit, RateHz: right.RateHz, Response: right.Mean}
	if why := unlike(a, b); why != "" {
		return Sides{}, fmt.Errorf("%w: the right side %s than the left: measure both sides alike", ErrUnlike, why)
	}
	s := Sides{FrequencyHz: left.Mean.FrequencyHz, WorstDB: math.NaN()}
	for i, l := range left.Mean.MagnitudeDB {
		s.LevelDB = append(s.LevelDB, l-right.Mean.MagnitudeDB[i])
	}
	from, to := math.Max(left.Mean.ValidFromHz, right.Mean.ValidFromHz), math.Min(left.Mean.ValidToHz, right.Mean.ValidToHz)
	for _, o := range octaves(from, to) {
		s.Octaves = append(s.Octaves, Difference{o, s.over(left.Mean, right.Mean, o)})
	}
	s.judge(left.Mean, right.Mean, from, to)
	return s, nil
}

// over is the difference of the mean levels of an octave.
func (s *Sides) over(left, right Response, o Band) float64 {
	mean := func(r Response) float64 { return response.MeanDB(r.FrequencyHz, r.MagnitudeDB, o.FromHz, o.ToHz) }
	return mean(left) - mean(right)
}

// judge notes the octave that matches worst.
func (s *Sides) judge(left, right Response, from, to float64) {
	worst := 0.0
	for _, o := range octaves(math.Max(from, matchFromHz), math.Min(to, matchToHz)) {
		if d := s.over(left, right, o); !(math.Abs(d) <= s.WorstDB) && !math.IsNaN(d) {
			worst, s.WorstDB, s.WorstAt = d, math.Abs(d), o
		}
	}
	if s.WorstDB > matchDB {
		louder := "louder"
		if worst < 0 {
			louder = "softer"
		}
		s.Findings = one("sides-differ", Note, s.WorstDB, "dB", fmt.Sprintf(
			"Left and right differ by %.1f dB in the octave of %s: left is %s there. Within %g dB from 100 Hz to 8 kHz is usual. Look at the spread first, then at the drivers and their damping.",
			s.WorstDB, s.WorstAt.Name(), louder, matchDB))
	}
}
