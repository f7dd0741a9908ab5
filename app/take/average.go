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

// Group is what several takes of one unit say together: a headphone seated several
// times, a driver measured again.
type Group struct {
	Mean     Response
	SpreadDB []float64 // standard deviation of one take, on the grid of Mean
	Bands    []Agreement
	Findings []Finding
}

// spreadRemarkDB is how far seatings may differ in an octave below 10 kHz before it
// is remarked upon (common practice).
const spreadRemarkDB = 1.0

// Together averages the analyses of several takes of one unit, all made with the
// same settings and sample rate, and tells how far they differ in each octave. It
// panics on fewer than two, or on grids that differ.
func Together(takes []*Analysis) Group {
	if len(takes) < 2 {
		panic("take: a group needs two takes")
	}
	var all []Response
	for _, a := range takes {
		if len(a.Response.FrequencyHz) != len(takes[0].Response.FrequencyHz) {
			panic("take: takes on different grids")
		}
		all = append(all, a.Response)
	}
	g := Group{Mean: average(all)}
	for i := range g.Mean.FrequencyHz {
		sum, square, n := 0.0, 0.0, float64(len(all))
		for _, r := range all {
			sum += r.MagnitudeDB[i]
			square += r.MagnitudeDB[i] * r.MagnitudeDB[i]
		}
		g.SpreadDB = append(g.SpreadDB, math.Sqrt(math.Max(0, (square-sum*sum/n)/(n-1))))
	}
	g.judge()
	return g
}

// judge finds the spread of each octave, the worst one being a finding.
func (g *Group) judge() {
	worst := Agreement{}
	for from := g.Mean.ValidFromHz; from*1.4 < g.Mean.ValidToHz; from *= 2 {
		to := math.Min(2*from, g.Mean.ValidToHz)
		sum, n := 0.0, 0.0
		for i, f := range g.Mean.FrequencyHz {
			if f >= from && f <= to && !math.IsNaN(g.SpreadDB[i]) {
				sum, n = sum+g.SpreadDB[i]*g.SpreadDB[i], n+1
			}
		}
		b := Agreement{FromHz: from, ToHz: to, SpreadDB: math.Sqrt(sum / math.Max(n, 1)), NoiseDB: math.NaN()}
		g.Bands = append(g.Bands, b)
		if to <= 10000 && b.SpreadDB > worst.SpreadDB {
			worst = b
		}
	}
	if worst.SpreadDB > spreadRemarkDB {
		g.Findings = one("repeats-differ", Remark, worst.SpreadDB, "dB", seatingMessage(worst, g.Mean))
	}
}
