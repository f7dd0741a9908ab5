package staircase

import (
	"math"

	"stillroom/app/take"
	"stillroom/dsp/distortion"
)

// Step is one level of a staircase. Its curves lie on one grid; NaN is not known.
type Step struct {
	Take       *take.Take
	LevelDBFS  float64 // of the sweep
	DriveVolts float64 // V rms; NaN where the output is not calibrated

	FrequencyHz   []float64
	LevelDB       []float64 // as it sounded, in the unit of the result; valid band only
	THDDB         []float64 // total harmonic distortion re the fundamental
	THDBoundDB    []float64 // the most that the distortion can be where THDDB is not known, since noise covers it; NaN where that is not known either
	CompressionDB []float64 // re what the first step promises; below 0: compression

	MostTHDPercent    float64 // highest in the band of the stops; NaN: not known
	MostTHDHz         float64
	MostCompressionDB float64 // lowest of CompressionDB in that band
	MostCompressionHz float64
	Findings          []take.Finding
}

// clearDB is how far a response must lie above the noise, in both steps, to tell its
// compression: noise then moves a point by 0.3 dB at most (8.686/√2 dB times the ratio).
const clearDB = 26.0

// stepOf reads a step. Where the rig is not calibrated for pascals, levels are those of
// the recording in dB re full scale.
func (r *Result) stepOf(one *take.Take, a *take.Analysis) Step {
	f := a.Response.FrequencyHz
	s := Step{Take: one, LevelDBFS: one.Programme.LevelDBFS, DriveVolts: a.Readings.DriveVolts, FrequencyHz: f, Findings: a.Findings}
	unit, add := "dB SPL", 0.0
	if a.Unit != unit {
		unit, add = "dB re full scale of the recording", s.LevelDBFS
	}
	r.Unit = unit
	s.LevelDB = valid(a.Response, a.Response.MagnitudeDB, add)
	s.THDDB, s.THDBoundDB = totals(a)
	s.compress(a, r.first(s), a.Noise)
	from, to := r.band()
	s.MostTHDPercent, s.MostTHDHz = most(f, distortion.Percent(s.THDDB), from, to)
	least, at := most(f, negative(s.CompressionDB), from, to)
	s.MostCompressionDB, s.MostCompressionHz = -least, at
	return s
}

// first is the lowest step; a step itself where it is the first.
func (r *Result) first(s Step) Step {
	if len(r.Steps) == 0 {
		return s
	}
	return r.Steps[0]
}

// compress compares a step with the lowest, where both stand clear of noise.
func (s *Step) compress(a *take.Analysis, low Step, n take.Noise) {
	s.CompressionDB = distortion.CompressionDB(low.LevelDB, s.LevelDB, s.LevelDBFS-low.LevelDBFS)
	rise := s.LevelDBFS - low.LevelDBFS
	for i := range s.CompressionDB {
		// the noise is that of the room, so the lowest step had it at the same level
		if !(a.Response.MagnitudeDB[i]-n.LevelDB[i]-rise >= clearDB) {
			s.CompressionDB[i] = math.NaN()
		}
	}
}

// valid is a curve in its valid band.
func valid(r take.Response, v []float64, add float64) []float64 {
	out := make([]float64, len(v))
	for i, f := range r.FrequencyHz {
		if out[i] = v[i] + add; f < r.ValidFromHz || f > r.ValidToHz {
			out[i] = math.NaN()
		}
	}
	return out
}

// noiseClearDB is how far a harmonic stands over its floor to be given (see app/take).
const noiseClearDB = 6.0

// totals is the distortion where it is known, and where it is not how high it can be:
// what all orders together could be without standing out of the noise.
func totals(a *take.Analysis) (thd, bound []float64) {
	f := a.Response.FrequencyHz
	thd, bound = make([]float64, len(f)), make([]float64, len(f))
	for i, hz := range f {
		thd[i], bound[i] = math.NaN(), math.NaN()
		sum, any := 0.0, false
		for _, h := range a.Harmonics {
			if hz >= h.FromHz && hz <= h.ToHz {
				sum, any = sum+math.Pow(10, (h.FloorDB[i]+noiseClearDB)/10), true
			}
		}
		if any {
			bound[i] = 10 * math.Log10(sum)
		}
		if hz >= a.THD.FromHz && hz <= a.THD.ToHz && i < len(a.THD.LevelDB) {
			thd[i] = a.THD.LevelDB[i]
		}
	}
	return thd, bound
}

// band is where the stops look.
func (r *Result) band() (fromHz, toHz float64) {
	stop := r.Plan.Stop
	if stop.ToHz == 0 {
		return math.Max(stop.FromHz, r.Plan.Programme.LowHz), r.Plan.Programme.HighHz
	}
	return stop.FromHz, stop.ToHz
}

// most is the highest value in a band and where it stands; NaN where none is known.
func most(f, v []float64, fromHz, toHz float64) (value, atHz float64) {
	value, atHz = math.NaN(), math.NaN()
	for i, hz := range f {
		if hz >= fromHz && hz <= toHz && !math.IsNaN(v[i]) && !(v[i] <= value) {
			value, atHz = v[i], hz
		}
	}
	return value, atHz
}

func negative(v []float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = -x
	}
	return out
}
