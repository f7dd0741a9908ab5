package curves

import (
	"fmt"
	"math"

	"stillroom/app/board"
	"stillroom/dsp/combine"
	"stillroom/dsp/level"
)

// speedOfSound at 20 °C, m/s (ISO 9613-1).
const speedOfSound = 343.2

// Beyond this the level by theory and the measured one differ by more than placing and
// gains explain (common practice).
const jointRemarkDB = 1.0

// stepLimit is the frequency times the width of the baffle up to which the step of a
// sphere stands for that of a box, Hz·m (see combine.SphereStep).
const stepLimit = 220

// join makes one curve of near field and far field: the parts are cone, far field and,
// where there is one, port.
func join(grid []float64, parts []*sound, how board.Join) (*sound, error) {
	s, err := together(grid, parts)
	if err != nil {
		return nil, err
	}
	if !s.phased {
		return nil, fmt.Errorf("near field and far field are joined with their phases, and a trace has none: choose takes, or curves with phase")
	}
	far := parts[1]
	near, err := nearFar(grid, parts, how, far.distanceM)
	if err != nil {
		return nil, err
	}
	joint, err := joint(s, near, far, how)
	if err != nil {
		return nil, err
	}
	joined := combine.Join(grid, near, far.h, joint)
	s.h, s.flightS, s.timed = joined.Response, far.flightS, far.timed
	s.lowHz, s.highHz = math.Max(parts[0].lowHz, lowOf(parts[2:])), far.highHz
	s.limits = append(lowLimits(parts[0], s.lowHz), above(far.limits, far.highHz)...)
	s.parts = []Part{{s.lowHz, joint.FromHz, combine.Near.String()}, {joint.FromHz, joint.ToHz, combine.Blend.String()}, {joint.ToHz, s.highHz, combine.Far.String()}}
	return s, nil
}

func lowOf(parts []*sound) float64 {
	low := 0.0
	for _, p := range parts {
		low = math.Max(low, p.lowHz)
	}
	return low
}

func lowLimits(p *sound, lowHz float64) []Limit {
	if l := below(p.limits, lowHz); len(l) > 0 {
		return l
	}
	return []Limit{{0, lowHz, fmt.Sprintf("below %s the near field is not valid", board.Hertz(lowHz))}}
}

// nearFar is the near field of cone and port as it is far away: port and cone by the
// ratio of their radii, the level by radius and distance (Keele 1974), and the step of
// a cabinet of that width.
func nearFar(grid []float64, parts []*sound, how board.Join, distanceM float64) ([]complex128, error) {
	if how.DistanceM > 0 {
		distanceM = how.DistanceM
	}
	if !(distanceM > 0) {
		return nil, fmt.Errorf("the distance of the far field is not known: give it in metres")
	}
	area := func(radiusM float64) float64 { return math.Pi * radiusM * radiusM }
	radiators := []combine.Radiator{{Response: atTheCone(parts[0]), AreaM2: area(how.ConeRadiusM)}}
	for _, port := range parts[2:] {
		radiators = append(radiators, combine.Radiator{Response: atTheCone(port), AreaM2: area(how.PortRadiusM)})
	}
	h := combine.NearSum(grid, radiators, area(how.ConeRadiusM))
	if how.BaffleWidthM == 0 {
		return combine.Scaled(h, combine.FarFromNear(how.ConeRadiusM, distanceM, combine.HalfSpace)), nil
	}
	h = combine.Scaled(h, combine.FarFromNear(how.ConeRadiusM, distanceM, combine.FullSpace))
	return combine.Times(h, combine.SphereStep(grid, how.BaffleWidthM, speedOfSound)), nil
}

// atTheCone is a response where it was measured, not brought to 1 m.
func atTheCone(s *sound) []complex128 { return combine.Scaled(s.h, level.Ratio(-s.metreDB)) }

// joint chooses where the two are joined, or takes the region that was set.
func joint(s *sound, near []complex128, far *sound, how board.Join) (combine.Joint, error) {
	nearTo := combine.NearLimitHz(how.ConeRadiusM, speedOfSound)
	if how.BaffleWidthM > 0 {
		nearTo = math.Min(nearTo, stepLimit/how.BaffleWidthM)
	}
	if b := how.Blend; b != (board.Band{}) {
		j := combine.Joint{FromHz: b.FromHz, ToHz: b.ToHz, Near: combine.Align(s.gridHz, near, far.h, b.FromHz, b.ToHz)}
		if math.IsNaN(j.Near.DelayS) {
			return j, fmt.Errorf("near field and far field are not both known in %s: choose another region to blend them", b)
		}
		if b.FromHz < far.lowHz*0.999 || b.ToHz > nearTo*1.001 {
			s.remarks = append(s.remarks, fmt.Sprintf("Near field and far field are blended over %s, and theory holds for both only from %s to %s.", b, board.Hertz(far.lowHz), board.Hertz(nearTo)))
		}
		return j, nil
	}
	plan, err := combine.PlanJoint(s.gridHz, near, far.h, far.lowHz, nearTo)
	if err != nil {
		return plan.Joint, err
	}
	if math.Abs(plan.MeasuredDB) > jointRemarkDB {
		s.remarks = append(s.remarks, fmt.Sprintf("In the blend the far field is %.1f dB above what the near field's level says it should be: check radii, distance and gains. The near field was left at the level of theory.", plan.MeasuredDB))
	}
	return plan.Joint, nil
}
