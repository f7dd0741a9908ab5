package board

import (
	"fmt"
	"math"
	"slices"
)

// mostTraces is how many traces a board holds at most.
const mostTraces = 200

// Check tells what is wrong with a board that was read from a file or made by hand,
// and what to do.
func (b Board) Check() error {
	if len(b.Traces) > mostTraces {
		return fmt.Errorf("a board holds %d traces at most (got %d): take some away", mostTraces, len(b.Traces))
	}
	seen := map[string]bool{}
	for _, t := range b.Traces {
		if t.ID == "" || seen[t.ID] {
			return fmt.Errorf("two traces of the board are both called %q inside: take %s off and add it again", t.ID, t.Name)
		}
		seen[t.ID] = true
		if math.IsNaN(t.OffsetDB) || math.Abs(t.OffsetDB) > 300 {
			return fmt.Errorf("the offset of %s is no level in dB: set it again", t.Name)
		}
		if err := t.Source.check(); err != nil {
			return fmt.Errorf("%s: %w", t.Name, err)
		}
	}
	for _, t := range b.Traces {
		if b.circle(t.ID, nil) {
			return fmt.Errorf("%s is made of itself, through other traces: choose others", t.Name)
		}
	}
	return b.checkSettings()
}

func (b Board) checkSettings() error {
	for _, err := range []error{b.Align.Band.Check(), b.Closeness.Check(), b.Gate.Check(), b.Target.Check()} {
		if err != nil {
			return err
		}
	}
	if n := b.Smoothing.Fraction; n < 0 || n > 96 {
		return fmt.Errorf("smoothing is over 1/n octave with n from 1 to 96 (got %d)", n)
	}
	if !slices.Contains([]Weighting{"", A, C}, b.Weighting) {
		return fmt.Errorf("band levels are weighted by A or C, or not at all (got %q)", b.Weighting)
	}
	if d := b.Decay; !(d.LastsS >= 0 && d.LastsS <= 10) || !(d.Periods >= 0 && d.Periods <= 200) {
		return fmt.Errorf("a decay is shown over up to 10 s or 200 periods (got %g s and %g periods)", d.LastsS, d.Periods)
	}
	for _, v := range b.Views {
		if !slices.Contains(Views(), v) {
			return fmt.Errorf("%q is no chart of this version: choose of %s", v, viewNames())
		}
	}
	return nil
}

// circle tells whether a trace is made of itself.
func (b Board) circle(id string, way []string) bool {
	if slices.Contains(way, id) {
		return true
	}
	t, _ := b.Trace(id)
	for _, need := range t.Source.Needs() {
		if b.circle(need, append(slices.Clip(way), id)) {
			return true
		}
	}
	return false
}

// check tells what a source lacks.
func (s Source) check() error {
	set := 0
	for _, is := range []bool{s.Take != nil, s.Curve != nil, s.Impulse != nil, s.Average != nil, s.Difference != nil, s.Sum != nil, s.Join != nil} {
		if is {
			set++
		}
	}
	switch {
	case set != 1:
		return fmt.Errorf("it comes from %d sources, and one is needed: add it again", set)
	case s.Curve != nil && (len(s.Curve.Curve.FrequencyHz) < 2 || len(s.Curve.Curve.FrequencyHz) != len(s.Curve.Curve.MagnitudeDB)):
		return fmt.Errorf("its curve has no points: import it again")
	case s.Impulse != nil && (len(s.Impulse.Samples) == 0 || !(s.Impulse.RateHz > 0)):
		return fmt.Errorf("its impulse response has no samples: import it again")
	case s.Average != nil && (len(s.Average.Of) == 0 || !slices.Contains(Means(), s.Average.By)):
		return fmt.Errorf("an average needs traces, and a mean of power, levels or complex responses")
	case s.Sum != nil && len(s.Sum.Parts) == 0:
		return fmt.Errorf("a sum needs drivers")
	case s.Join != nil:
		return s.Join.check()
	}
	return nil
}

func (j *Join) check() error {
	switch {
	case !(j.ConeRadiusM > 0 && j.ConeRadiusM < 2):
		return fmt.Errorf("give the effective radius of the cone in metres (got %g)", j.ConeRadiusM)
	case j.Port != "" && !(j.PortRadiusM > 0 && j.PortRadiusM < 2):
		return fmt.Errorf("give the radius of the port in metres (got %g)", j.PortRadiusM)
	case !(j.BaffleWidthM >= 0 && j.BaffleWidthM < 10) || !(j.DistanceM >= 0 && j.DistanceM < 100):
		return fmt.Errorf("the baffle's width and the distance of the far field are lengths in metres (got %g and %g)", j.BaffleWidthM, j.DistanceM)
	case j.Blend != Band{}:
		return j.Blend.Check()
	}
	return nil
}
