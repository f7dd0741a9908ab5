package take

import (
	"math"

	"stillroom/dsp/response"
)

// average returns the power mean of the magnitudes of several responses on one grid
// (energy mean of ISO 3382-1 and of IEC 60268-5 for a mean over places). Phase and
// group delay have no mean over places and are NaN. It is valid where all are.
func average(all []Response) Response {
	first := all[0]
	out := Response{FrequencyHz: first.FrequencyHz, ValidFromHz: first.ValidFromHz, ValidToHz: first.ValidToHz}
	unknown := func() []float64 {
		v := make([]float64, len(first.FrequencyHz))
		for i := range v {
			v[i] = math.NaN()
		}
		return v
	}
	out.MagnitudeDB, out.PhaseDeg, out.UnwrapDeg, out.GroupS, out.UncertaintyDB = unknown(), unknown(), unknown(), unknown(), unknown()
	for _, r := range all {
		out.ValidFromHz = math.Max(out.ValidFromHz, r.ValidFromHz)
		out.ValidToHz = math.Min(out.ValidToHz, r.ValidToHz)
	}
	for i := range out.MagnitudeDB {
		power, u := 0.0, 0.0
		for _, r := range all {
			power += math.Pow(10, r.MagnitudeDB[i]/10)
			u += r.UncertaintyDB[i]
		}
		out.MagnitudeDB[i] = response.DB(power / float64(len(all)))
		out.UncertaintyDB[i] = u / float64(len(all)) // calibrations of one rig go together
	}
	return out
}
