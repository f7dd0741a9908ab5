package take

import (
	"math"

	"stillroom/dsp/impulse"
)

// Repeats is what was made of the repeats of a sweep.
type Repeats struct {
	Played   int
	Averaged int
	Slipped  []int       // repeats left out, from 1: samples were lost within them
	Spoiled  []int       // repeats, from 1, of which stretches were left out
	Bands    []Agreement // per octave; empty with one sweep
}

// Agreement is how far repeats differ in a band.
type Agreement struct {
	FromHz, ToHz float64
	SpreadDB     float64 // standard deviation of one repeat
	NoiseDB      float64 // what the noise of the quiet part explains of it
}

// confidentSlip is how far two halves of a repeat's band may lie apart in time, in
// samples, before the repeat holds a loss.
const confidentSlip = 0.4

// gather cuts the repeats out of the recording, each from offset before its place as
// played, lines up those that whole samples were lost before, leaves out those that
// lost some within, and averages the rest.
func (s *Study) gather(offset, frames int) []float64 {
	sweeps := s.stimulus.Layout.Sweeps
	s.repeats = Repeats{Played: len(sweeps)}
	var rows [][]float64
	var index []int
	for i, sweep := range sweeps {
		row := s.padded(sweep.From+offset, frames)
		if i > 0 {
			shift, ok := s.slipAgainst(rows[0], row)
			if !ok {
				s.repeats.Slipped = append(s.repeats.Slipped, i+1)
				continue
			}
			if shift != 0 {
				row = s.padded(sweep.From+offset+shift, frames)
				s.shifted = true
			}
		}
		rows, index = append(rows, row), append(index, i)
	}
	c := impulse.Combine(rows, s.rateHz)
	s.rows = nil
	for i, blocks := range c.Spoiled {
		if blocks > 0 {
			s.repeats.Spoiled = append(s.repeats.Spoiled, index[i]+1)
		} else {
			s.rows = append(s.rows, rows[i]) // a spoiled one would differ from all
		}
	}
	s.repeats.Averaged = len(rows)
	return c.Mean
}

// padded is a piece of the recording with silence where there is none.
func (s *Study) padded(from, frames int) []float64 {
	out := make([]float64, frames)
	for i := range out {
		if j := from + i; j >= 0 && j < len(s.recording) {
			out[i] = s.recording[j]
		}
	}
	return out
}

// slipAgainst returns by how many whole samples row lies after the first repeat.
// ok is false where its low and its high half do not lie alike: something was lost
// within it.
func (s *Study) slipAgainst(first, row []float64) (samples int, ok bool) {
	low, high := s.stimulus.LowHz, s.stimulus.HighHz
	middle := math.Sqrt(low * high)
	a, sure := impulse.Delay(first, row, s.rateHz, low, middle)
	b, surer := impulse.Delay(first, row, s.rateHz, middle, high)
	if sure < 0.3 || surer < 0.3 {
		return 0, true // too noisy to tell
	}
	if math.Abs(b-a) > confidentSlip && math.Abs(b-math.Round(b)) < confidentSlip {
		return 0, math.Round(a) == math.Round(b)
	}
	return int(math.Round(b)), true
}

// agreement compares the repeats that nothing spoiled in each octave, and with what
// noise explains.
func (s *Study) agreement() []Agreement {
	if len(s.rows) < 2 {
		return nil
	}
	pieces := make([]impulse.BandEnergy, len(s.rows))
	for i, row := range s.rows {
		pieces[i] = impulse.NewBandEnergy(row, s.rateHz)
	}
	var out []Agreement
	for from := s.stimulus.LowHz; from*1.4 < s.stimulus.HighHz; from *= 2 {
		to := math.Min(2*from, s.stimulus.HighHz)
		spread, mean := impulse.Disagreement(pieces, from, to)
		noise := 0.0
		if s.quiet.Len() > 0 {
			noise = s.noise.Band(from, to) * float64(len(s.rows[0]))
		}
		out = append(out, Agreement{FromHz: from, ToHz: to,
			SpreadDB: ratioDB(math.Sqrt(spread / mean)), NoiseDB: ratioDB(math.Sqrt(noise / mean))})
	}
	return out
}

// ratioDB is a relative deviation as a level: 8.686 dB for each part of one.
func ratioDB(relative float64) float64 { return 20 / math.Ln10 * relative }
