package curves

import (
	"math"

	"stillroom/app/board"
	"stillroom/dsp/combine"
	"stillroom/dsp/response"
)

// DifferenceDB is a trace less the reference, both as shown; where one of the two is
// not valid it is NaN. nil without a reference.
func (s *Set) DifferenceDB(t *Trace) []float64 {
	ref := s.Ref()
	if ref == nil || t.Problem != "" {
		return nil
	}
	return combine.DifferenceDB(t.Within(s.FrequencyHz, t.MagnitudeDB), ref.Within(s.FrequencyHz, ref.MagnitudeDB))
}

// Closeness is how near a trace lies to the reference: the root mean square of their
// difference as shown, over the part of the board's band where both are valid.
func (s *Set) Closeness(t *Trace) (db float64, over board.Band) {
	ref := s.Ref()
	if ref == nil || t.Problem != "" {
		return math.NaN(), s.Board.Closeness
	}
	over = board.Band{
		FromHz: math.Max(s.Board.Closeness.FromHz, math.Max(t.ValidFromHz, ref.ValidFromHz)),
		ToHz:   math.Min(s.Board.Closeness.ToHz, math.Min(t.ValidToHz, ref.ValidToHz))}
	if over.Check() != nil {
		return math.NaN(), over
	}
	return combine.ClosenessDB(s.FrequencyHz, t.MagnitudeDB, ref.MagnitudeDB, over.FromHz, over.ToHz, false), over
}

// GroupOf is the statistics of the traces that are shown and stand in the unit of the
// board, where all of them are valid; nil where there are fewer than two.
func (s *Set) GroupOf() *combine.Group {
	var all [][]float64
	for _, t := range s.Seen() {
		if t.Unit == s.Unit {
			all = append(all, t.Within(s.FrequencyHz, t.MagnitudeDB))
		}
	}
	if len(all) < 2 {
		return nil
	}
	g := combine.GroupOf(all)
	return &g
}

// Target is the board's target on its frequencies, brought to the level of the
// reference where it is not absolute.
type Target struct {
	LevelDB, LowDB, HighDB []float64 // NaN where it says nothing
}

// Target works the target out; nil where there is none.
func (s *Set) Target() *Target {
	x := s.Board.Target
	if x == nil {
		return nil
	}
	n := len(s.FrequencyHz)
	out := &Target{LevelDB: make([]float64, n), LowDB: make([]float64, n), HighDB: make([]float64, n)}
	for i, hz := range s.FrequencyHz {
		out.LevelDB[i] = math.NaN()
		if x.Curve.Covers(hz) {
			out.LevelDB[i] = x.Curve.LevelDB(hz)
		}
		out.LowDB[i], out.HighDB[i] = x.Limits(hz)
	}
	if ref := s.Ref(); !x.Absolute && ref != nil {
		b := s.Board.Align.Band
		shift := combine.MatchLevel(s.FrequencyHz, out.LevelDB, ref.Within(s.FrequencyHz, ref.MagnitudeDB), b.FromHz, b.ToHz).OffsetDB
		if !math.IsNaN(shift) {
			out.LevelDB, out.LowDB, out.HighDB = plus(out.LevelDB, shift), plus(out.LowDB, shift), plus(out.HighDB, shift)
		}
	}
	return out
}

// Margin is the least distance of a trace to the limits of the target, in dB: negative
// where it breaks them. NaN where there are none.
func (s *Set) Margin(t *Trace) (db, atHz float64) {
	x := s.Target()
	if x == nil || t.Problem != "" {
		return math.NaN(), math.NaN()
	}
	least, i, ok := combine.MarginOf(t.Within(s.FrequencyHz, t.MagnitudeDB), x.HighDB, x.LowDB).Least()
	if !ok {
		return math.NaN(), math.NaN()
	}
	return least, s.FrequencyHz[i]
}

// At is what a trace shows at a frequency, as the nearest point of the grid has it;
// NaN where it is not valid.
func (t *Trace) At(hz []float64, f float64) float64 {
	if t.Problem != "" || f < t.ValidFromHz || f > t.ValidToHz {
		return math.NaN()
	}
	return t.MagnitudeDB[response.Nearest(hz, f)]
}
