package curves

import (
	"fmt"
	"math"

	"stillroom/app/board"
	"stillroom/dsp/combine"
	"stillroom/dsp/impulse"
	"stillroom/dsp/response"
)

// together begins a combination: valid where all its parts are, in their unit.
func together(grid []float64, parts []*sound) (*sound, error) {
	first := parts[0]
	s := &sound{gridHz: grid, unit: first.unit, rateHz: first.rateHz, lowHz: first.lowHz, highHz: first.highHz,
		phased: true, timed: true, flightS: first.flightS, driveDBFS: first.driveDBFS, fixture: first.fixture}
	for _, p := range parts {
		if p.unit != s.unit {
			return nil, fmt.Errorf("it is made of levels in %q and in %q, which cannot be put together: choose one kind of level for all, or calibrate the rig", s.unit, p.unit)
		}
		s.phased, s.timed = s.phased && p.phased, s.timed && p.timed
		s.rateHz = math.Min(s.rateHz, p.rateHz)
		if p.driveDBFS != s.driveDBFS {
			s.driveDBFS = math.NaN()
		}
		if p.fixture != s.fixture {
			s.fixture = ""
		}
		s.within(p)
	}
	return s, nil
}

// within narrows the valid band to that of a part.
func (s *sound) within(p *sound) {
	s.lowHz, s.highHz = math.Max(s.lowHz, p.lowHz), math.Min(s.highHz, p.highHz)
	for _, l := range p.limits {
		switch {
		case l.ToHz == s.lowHz:
			s.limits = append([]Limit{l}, above(s.limits, l.ToHz)...)
		case l.FromHz == s.highHz:
			s.limits = append(below(s.limits, l.FromHz), l)
		}
	}
}

// above keeps the limits at the top, below those at the bottom of a band.
func above(l []Limit, hz float64) []Limit {
	var out []Limit
	for _, x := range l {
		if x.FromHz >= hz {
			out = append(out, x)
		}
	}
	return out
}

func below(l []Limit, hz float64) []Limit {
	var out []Limit
	for _, x := range l {
		if x.ToHz <= hz {
			out = append(out, x)
		}
	}
	return out
}

// average is the mean of power, of levels, or of complex responses whose arrivals were
// brought together.
func average(grid []float64, parts []*sound, by board.Mean) (*sound, error) {
	s, err := together(grid, parts)
	if err != nil {
		return nil, err
	}
	if by == board.ComplexMean {
		return s, s.complexMean(parts)
	}
	mean := combine.PowerMeanDB
	if by == board.LevelMean {
		mean = combine.LevelMeanDB
	}
	s.phased = false
	s.power = func(w impulse.Width) []float64 {
		var levels [][]float64
		for _, p := range parts {
			levels = append(levels, response.LevelsDB(p.smoothed(w)))
		}
		return fromDB(mean(levels))
	}
	s.h = rootOf(s.power(impulse.Width{}))
	return s, nil
}

func (s *sound) complexMean(parts []*sound) error {
	var all [][]complex128
	for _, p := range parts {
		if !p.phased {
			return fmt.Errorf("a complex average needs the phase of all its traces, and one has none: average powers or levels")
		}
		all = append(all, p.h)
	}
	var found []combine.Alignment
	s.h, found = combine.ComplexMean(s.gridHz, all, s.lowHz, s.highHz)
	for i, a := range found {
		if a.Likeness < alike {
			s.remarks = append(s.remarks, fmt.Sprintf("Trace %d of a complex average differs from the first in more than delay and polarity (likeness %.2f), so that the average loses level. Average powers instead.", i+1, a.Likeness))
		}
	}
	return nil
}

// alike is the likeness below which a complex mean is remarked upon.
const alike = 0.8

// ratio is one trace re another, its smoothed level the difference of theirs.
func ratio(grid []float64, of, re *sound) *sound {
	s, err := together(grid, []*sound{of, re})
	if err != nil { // a ratio may have a unit
		alone, _ := together(grid, []*sound{of})
		s = alone
		s.phased, s.timed = s.phased && re.phased, s.timed && re.timed
		s.within(re)
		s.unit = fmt.Sprintf("dB (%s re %s)", of.unit, re.unit)
	} else {
		s.unit = "dB"
	}
	s.h = combine.Ratio(of.h, re.h, nil, 0)
	s.flightS = of.flightS - re.flightS
	s.power = func(w impulse.Width) []float64 {
		return fromDB(combine.DifferenceDB(response.LevelsDB(of.smoothed(w)), response.LevelsDB(re.smoothed(w))))
	}
	return s
}

// sum is drivers played together.
func sum(grid []float64, parts []*sound, how []board.Part) (*sound, error) {
	s, err := together(grid, parts)
	if err != nil {
		return nil, err
	}
	if !s.phased {
		return nil, fmt.Errorf("drivers are added with their phases, and a trace has none: choose takes, or curves with phase")
	}
	var drivers []combine.Driver
	for i, p := range parts {
		drivers = append(drivers, combine.Driver{Response: p.h, GainDB: how[i].GainDB, DelayS: how[i].DelayS, Inverted: how[i].Inverted})
	}
	s.h = combine.Sum(grid, drivers)
	if !s.timed {
		s.remarks = append(s.remarks, "A sum of drivers counts each phase from that trace's own arrival, since not all of them were measured with a loopback: set the delays by hand, or measure with a loopback channel.")
	}
	return s, nil
}

func fromDB(levels []float64) []float64 {
	out := make([]float64, len(levels))
	for i, l := range levels {
		out[i] = math.Pow(10, l/10)
	}
	return out
}

// rootOf is a response of that power and no phase.
func rootOf(power []float64) []complex128 {
	out := make([]complex128, len(power))
	for i, p := range power {
		out[i] = complex(math.Sqrt(p), 0)
	}
	return out
}
