package combine

import (
	"fmt"
	"math"
)

// Joint is how a near field is joined to a far field. What PlanJoint proposes can be
// changed before Join is called.
type Joint struct {
	FromHz float64 // below: near field only
	ToHz   float64 // above: far field only
	// OffsetDB is added to the near field. 0 leaves it at the level that theory gives.
	OffsetDB float64
	// Near is how the near field lies in time against the far field; Join undoes it.
	Near Alignment
}

// JointPlan is a proposed joint and what the two curves say of it.
type JointPlan struct {
	Joint
	MeasuredDB float64 // what would have to be added to the near field to fit the level there
	SpreadDB   float64 // rms of the difference that is left then
}

// Widths of the blend region, as ratios of frequency: the usual one, and the least.
const (
	usualBlend = 2
	leastBlend = 1.2599210498948731648 // a third of an octave
)

// PlanJoint looks for the octave in which near and far field agree best in shape,
// between the frequency from which the far field holds (1/T of its gate) and the one
// up to which the near field holds (NearLimitHz), and finds how they lie in time over
// all of that range. The near field is expected at the level that it has far away (FarFromNear,
// SphereStep); the level offset is left at that theory and the measured one told
// beside it. With less than an octave between the limits all of it is taken. It fails,
// with a line that says why, where less than a third of an octave is left or where
// the curves are not known there.
func PlanJoint(frequencyHz []float64, near, far []complex128, farFromHz, nearToHz float64) (JointPlan, error) {
	sameLength(len(frequencyHz), len(near), len(far))
	plan, err := PlanLevels(frequencyHz, levelsDB(near), levelsDB(far), farFromHz, nearToHz)
	if err != nil {
		return plan, err
	}
	plan.Near = Align(frequencyHz, near, far, farFromHz, nearToHz)
	return plan, nil
}

// PlanLevels is PlanJoint for curves whose phase is not known.
func PlanLevels(frequencyHz, nearDB, farDB []float64, farFromHz, nearToHz float64) (JointPlan, error) {
	sameLength(len(frequencyHz), len(nearDB), len(farDB))
	if !(nearToHz >= farFromHz*leastBlend) {
		return JointPlan{}, fmt.Errorf("near and far field do not overlap by a third of an octave: the far field holds from %.0f Hz, the near field up to %.0f Hz; use a longer gate or a smaller radiator", farFromHz, nearToHz)
	}
	best := JointPlan{SpreadDB: math.Inf(1)}
	try := func(from, to float64) {
		spread := ClosenessDB(frequencyHz, nearDB, farDB, from, to, true)
		if known(frequencyHz, nearDB, farDB, from, to) && spread < best.SpreadDB {
			best = JointPlan{Joint: Joint{FromHz: from, ToHz: to}, SpreadDB: spread}
		}
	}
	try(farFromHz, math.Min(nearToHz, farFromHz*usualBlend))
	for _, f := range frequencyHz {
		if f > farFromHz && f*usualBlend <= nearToHz {
			try(f, f*usualBlend)
		}
	}
	if math.IsInf(best.SpreadDB, 1) {
		return JointPlan{}, fmt.Errorf("near and far field are not both known in one octave between %.0f and %.0f Hz; measure both over that range", farFromHz, nearToHz)
	}
	best.MeasuredDB = MatchLevel(frequencyHz, nearDB, farDB, best.FromHz, best.ToHz).OffsetDB
	return best, nil
}

// known tells whether both curves have numbers at every point of a range, and at two
// or more.
func known(frequencyHz, a, b []float64, fromHz, toHz float64) bool {
	n := 0
	for i, f := range frequencyHz {
		if f < fromHz || f > toHz {
			continue
		}
		if d := a[i] - b[i]; math.IsNaN(d) || math.IsInf(d, 0) {
			return false
		}
		n++
	}
	return n > 1
}

// levelsDB is 20 lg |H|.
func levelsDB(h []complex128) []float64 {
	out := make([]float64, len(h))
	for i, v := range h {
		out[i] = 10 * math.Log10(norm(v))
	}
	return out
}
