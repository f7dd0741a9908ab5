package take

import (
	"errors"
	"fmt"
	"math"
)

// ErrUnlike says that takes cannot be read together: they were made or analysed in
// different ways.
var ErrUnlike = errors.New("these takes do not go together")

// Group is what several takes of one unit say together: a headphone seated several
// times, a driver measured again.
type Group struct {
	Settings Settings // with which each was analysed
	Unit     string   // of Mean
	RateHz   float64
	Count    int       // takes in it
	Mean     Response  // power mean; its uncertainty holds that of the mean over the takes
	SpreadDB []float64 // standard deviation of one take, on the grid of Mean; NaN with one take
	Octaves  []Spread  // of the valid band; empty with one take
	Findings []Finding // about the spread
}

// Spread is how far takes of one unit differ in an octave.
type Spread struct {
	Band
	SpreadDB float64 // standard deviation of one take, root mean square over the octave
}

// Together averages the analyses of several takes of one unit and tells how far
// they differ in each octave. Takes of another sample rate, another unit of level,
// another grid, or read with other settings are refused with ErrUnlike. It panics
// without any take.
func Together(takes []*Analysis) (Group, error) {
	if len(takes) == 0 {
		panic("take: a group needs a take")
	}
	first := takes[0]
	g := Group{Settings: first.Settings, Unit: first.Unit, RateHz: first.RateHz, Count: len(takes)}
	var all []Response
	for i, a := range takes {
		if why := unlike(first, a); why != "" {
			return Group{}, fmt.Errorf("%w: take %d of %d %s than the first: measure it again as the others, or leave it out", ErrUnlike, i+1, len(takes), why)
		}
		all = append(all, a.Response)
	}
	g.Mean = average(all)
	g.SpreadDB = deviation(all)
	if len(all) > 1 {
		g.spread()
		g.trust()
		g.judge()
	}
	return g, nil
}

// unlike says in what b differs from a so that the two have no mean; "" where it
// does not.
func unlike(a, b *Analysis) string {
	x, y := a.Settings, b.Settings
	near := func(p, q float64) bool { return math.Abs(p-q) < 1.5/a.RateHz }
	switch {
	case a.RateHz != b.RateHz:
		return fmt.Sprintf("has another sample rate (%g Hz, not %g Hz)", b.RateHz, a.RateHz)
	case a.Unit != b.Unit:
		return fmt.Sprintf("has its level in another unit (%s, not %s)", b.Unit, a.Unit)
	case x.Smoothing != y.Smoothing:
		return "was read with another smoothing"
	case !near(x.Gate.OpenS, y.Gate.OpenS) || !near(x.Gate.CloseS, y.Gate.CloseS):
		return "was read with another gate"
	case !sameGrid(a.Response.FrequencyHz, b.Response.FrequencyHz):
		return "was read at other frequencies"
	}
	return ""
}

func sameGrid(a, b []float64) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// deviation is the standard deviation of one response among several at each point
// of the grid, in dB (JCGM 100:2008, 4.2.2).
func deviation(all []Response) []float64 {
	n := float64(len(all))
	out := make([]float64, len(all[0].MagnitudeDB))
	for i := range out {
		mean, square := 0.0, 0.0
		for _, r := range all {
			mean += r.MagnitudeDB[i] / n
		}
		for _, r := range all {
			square += (r.MagnitudeDB[i] - mean) * (r.MagnitudeDB[i] - mean)
		}
		out[i] = math.Sqrt(square / (n - 1)) // NaN with one: nothing to compare it with
	}
	return out
}

// spread gathers the deviation per octave.
func (g *Group) spread() {
	for _, o := range octaves(g.Mean.ValidFromHz, g.Mean.ValidToHz) {
		sum, n := 0.0, 0.0
		for i, f := range g.Mean.FrequencyHz {
			if o.holds(f) && !math.IsNaN(g.SpreadDB[i]) {
				sum, n = sum+g.SpreadDB[i]*g.SpreadDB[i], n+1
			}
		}
		if n > 0 {
			g.Octaves = append(g.Octaves, Spread{o, math.Sqrt(sum / n)})
		}
	}
}

// trust adds the standard uncertainty of the mean, spread/√n, to what the takes
// share (JCGM 100:2008, 4.2.3 and 5.1.2; coverage factor 2).
func (g *Group) trust() {
	for i, u := range g.Mean.UncertaintyDB {
		g.Mean.UncertaintyDB[i] = math.Hypot(u, 2*g.SpreadDB[i]/math.Sqrt(float64(g.Count)))
	}
}

// How far seatings may differ in an octave before it is remarked upon, as a standard
// deviation in dB: below 100 Hz, where each cushion leaks a little differently, and
// above. Past the octave of 8 kHz a millimetre of position decides, and nothing is
// remarked (common practice).
const (
	spreadLowDB     = 1.5
	spreadDB        = 1.0
	spreadLowToHz   = 100
	spreadHighestHz = 8000
)

func spreadLimitDB(o Band) float64 {
	switch {
	case o.CentreHz < spreadLowToHz:
		return spreadLowDB
	case o.CentreHz <= spreadHighestHz:
		return spreadDB
	}
	return math.Inf(1)
}

// judge remarks upon the octave whose spread is furthest above what is usual.
func (g *Group) judge() {
	var worst Spread
	over := 1.0
	for _, s := range g.Octaves {
		if share := s.SpreadDB / spreadLimitDB(s.Band); share > over {
			worst, over = s, share
		}
	}
	if over > 1 {
		g.Findings = one("repeats-differ", Remark, worst.SpreadDB, "dB", g.spreadMessage(worst))
	}
}

// spreadMessage tells what it is, what it does to the result, what to do.
func (g *Group) spreadMessage(s Spread) string {
	advice := "The unit or the microphone moved: put it back in the same place each time, or leave the odd one out and measure it again."
	switch {
	case s.CentreHz < spreadLowToHz:
		advice = "Down there that is leakage: press the cushion home all around, or leave the odd one out and measure it again."
	case s.CentreHz > 3000:
		advice = "Up there that is the place on the ear: mark where the cushion sits, or leave the odd one out and measure it again."
	}
	return fmt.Sprintf("Seatings differ by %.1f dB in the octave of %s: their mean is known to ±%.1f dB there. %s",
		s.SpreadDB, s.Name(), 2*s.SpreadDB/math.Sqrt(float64(g.Count)), advice)
}
