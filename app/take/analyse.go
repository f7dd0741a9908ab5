package take

import (
	"math"

	"stillroom/dsp/distortion"
	"stillroom/dsp/impulse"
	"stillroom/dsp/level"
	"stillroom/dsp/response"
)

// speedOfSound at 20 °C, m/s (ISO 9613-1).
const speedOfSound = 343.2

// clearDB is how far a harmonic must lie above what noise alone would show to be
// given as a number.
const clearDB = 6

// Analyse reads the take with the given settings on the grid of stored curves. The
// same take and settings give the same bits.
//
// An automatic gate closes 5 % before the first reflection found. Where none is
// found nothing is gated: the window is as long as the recording goes on after the
// sweep.
func (s *Study) Analyse(set Settings) (*Analysis, error) {
	return s.AnalyseAt(set, response.Grid(s.rateHz))
}

// AnalyseAt is Analyse at chosen frequencies, in Hz. A value that cannot be known
// there is NaN.
func (s *Study) AnalyseAt(set Settings, frequencyHz []float64) (*Analysis, error) {
	if err := set.Check(); err != nil {
		return nil, err
	}
	set.Gate = s.resolve(set.Gate)
	a := s.analyse(set, frequencyHz)
	if len(s.others) == 0 {
		return a, nil
	}
	all, alike := []Response{a.Response}, true
	a.Microphones = []MicrophoneCurve{{s.name, a.Response, a.Findings}}
	for _, other := range s.others {
		b := other.analyse(set, frequencyHz)
		a.Microphones = append(a.Microphones, MicrophoneCurve{other.name, b.Response, b.Findings})
		all, alike = append(all, b.Response), alike && b.Unit == a.Unit
	}
	if !alike { // pascals and digits have no mean
		a.Findings = append(a.Findings, one("calibration-old", Remark, math.NaN(), "",
			"Not all microphones are calibrated, so their levels are not in one unit and no average is made. Calibrate each in the Rig room.")...)
		return a, nil
	}
	mean := average(all)
	a.Average = &mean
	return a, nil
}

// analyse reads one microphone. The gate is resolved.
func (s *Study) analyse(set Settings, frequencyHz []float64) *Analysis {
	a := &Analysis{Settings: set, RateHz: s.rateHz, DelayS: s.delayS, Polarity: s.polarity(), DriftPPM: s.clock.DriftPPM,
		Clock: s.clock, Repeats: s.repeats, TimeZero: "arrival", Excitation: s.excitation(), Impulse: s.around()}
	if s.reference != nil {
		a.TimeZero = "output"
	}
	if r := s.reflection; r != nil {
		a.Reflection = &Reflection{DelayS: r.DelayS, LevelDB: r.LevelDB, PathM: r.DelayS * speedOfSound}
	}
	piece := s.impulse.Gated(s.lagS, impulse.Gate{OpenS: set.Gate.OpenS, CloseS: set.Gate.CloseS,
		OpenTaperS: set.Gate.OpenTaperS, CloseTaperS: set.Gate.CloseTaperS})
	if s.reference != nil {
		piece.Origin += s.lagS * s.rateHz // phase counts from the output
	}
	scale := s.scaleFor(set)
	a.Unit = scale.unit
	a.Response = s.response(piece, set, frequencyHz, scale.addDB)
	a.Noise = s.noiseSeen(piece.Window2, frequencyHz, a.Response, scale.addDB)
	a.Response.UncertaintyDB = s.uncertainty(a.Response, a.Noise, set)
	if s.stimulus.Log && set.Orders >= 2 {
		a.Harmonics, a.THD = s.harmonics(set, frequencyHz)
	}
	a.Readings = s.readings(a, scale)
	a.Findings = s.judge(a)
	return a
}

// resolve turns an automatic gate into times, and keeps a chosen one inside what
// was recorded, its shape kept.
func (s *Study) resolve(g Gate) Gate {
	switch {
	case g.Auto && s.reflection != nil && s.reflection.DelayS < s.pauseS:
		out := Closing(0.95 * s.reflection.DelayS)
		out.Auto = true
		return out
	case g.Auto:
		auto := s.resolve(Ungated())
		auto.Auto = true
		return auto
	case g.CloseS > s.pauseS:
		g.CloseTaperS *= s.pauseS / g.CloseS
		g.CloseS = s.pauseS
	}
	return g
}

func (s *Study) polarity() string {
	switch {
	case s.arrival.Likeness < believableLikeness:
		return "unknown"
	case s.arrival.Inverted:
		return "inverted"
	}
	return "normal"
}

func (s *Study) excitation() Excitation {
	e := Excitation{Kind: s.stimulus.Kind, StartHz: s.stimulus.LowHz, EndHz: s.stimulus.HighHz,
		DurationS: float64(len(s.stimulus.Samples)) / s.rateHz}
	if s.stimulus.Log {
		e.StartHz, e.EndHz = s.stimulus.Sweep.StartHz, math.Min(s.stimulus.Sweep.EndHz, s.rateHz/2)
	}
	return e
}

// around returns the impulse response from 10 ms before the arrival to the end of
// the pause.
func (s *Study) around() Impulse {
	from := int(math.Floor((s.lagS - 0.01) * s.rateHz))
	to := int((s.lagS + s.pauseS) * s.rateHz)
	out := Impulse{Value: s.impulse.Cut(from, max(to, from+1))}
	for i := range out.Value {
		out.TimeS = append(out.TimeS, float64(from+i)/s.rateHz-s.lagS)
	}
	return out
}

func (s *Study) response(p impulse.Piece, set Settings, f []float64, addDB float64) Response {
	h := p.Spectrum(f)
	for i, c := range s.correction(f) {
		h[i] *= c
	}
	r := Response{FrequencyHz: f, PhaseDeg: response.WrappedDeg(h)}
	low, high := 0.98*s.stimulus.Band.EdgeHz, 1.0001*s.stimulus.HighHz
	r.MagnitudeDB = response.LevelsDB(p.SmoothedPower(f, set.Smoothing, low, high))
	for i, db := range s.correctionDB(f) {
		r.MagnitudeDB[i] += db + addDB
	}
	r.ValidFromHz = math.Max(s.stimulus.LowHz, 1/set.Gate.CloseS)
	r.ValidToHz = s.stimulus.HighHz
	for i, hz := range f {
		if hz < low || hz > high {
			r.PhaseDeg[i] = math.NaN()
			h[i] = complex(math.NaN(), math.NaN())
		}
	}
	r.UnwrapDeg = response.UnwrapDeg(r.PhaseDeg)
	r.GroupS = s.groupDelay(p, f, h)
	return r
}

// groupDelay takes the slope between neighbours on a dense grid, and between two
// points close by where the frequencies were chosen one by one.
func (s *Study) groupDelay(p impulse.Piece, f []float64, h []complex128) []float64 {
	if len(f) > 400 {
		return response.GroupDelayS(f, h)
	}
	out := make([]float64, len(f))
	for i, hz := range f {
		near := []float64{hz * 0.999, hz, math.Min(hz*1.001, p.RateHz/2)}
		around := p.Spectrum(near)
		for k, c := range s.correction(near) {
			around[k] *= c
		}
		out[i] = response.GroupDelayS(near, around)[1]
		if math.IsNaN(real(h[i])) {
			out[i] = math.NaN()
		}
	}
	return out
}

// harmonics separates the orders, each with its floor, and their total.
func (s *Study) harmonics(set Settings, f []float64) ([]Harmonic, Harmonic) {
	if s.found != nil {
		return s.found.harmonics(s.rateHz, set, f)
	}
	one := distortion.Separate(s.impulse, s.stimulus.Sweep, s.lagS, s.pauseS, 1)
	fundamental := one.Power(f, set.Smoothing)
	all := make([]Harmonic, set.Orders-1)
	eachOrder(len(all), func(i int) { all[i] = s.harmonic(i+2, fundamental, f, set.Smoothing) })
	var levels [][]float64
	total := Harmonic{FrequencyHz: f, FromHz: math.Inf(1)}
	for _, h := range all {
		levels = append(levels, h.LevelDB)
		total.FromHz = math.Min(total.FromHz, h.FromHz)
		total.ToHz = math.Max(total.ToHz, h.ToHz)
	}
	total.LevelDB = distortion.TotalDB(levels)
	return all, total
}

func (s *Study) harmonic(n int, fundamental, f []float64, smoothing int) Harmonic {
	o := distortion.Separate(s.impulse, s.stimulus.Sweep, s.lagS, s.pauseS, n)
	h := Harmonic{Order: n, FrequencyHz: f, FromHz: o.FromHz, ToHz: o.ToHz,
		LevelDB: distortion.LevelsDB(o.Power(f, smoothing), fundamental), FloorDB: make([]float64, len(f))}
	here, there := s.correctionDB(f), s.correctionDB(times(float64(n), f))
	for i, hz := range f {
		h.FloorDB[i] = math.NaN()
		h.LevelDB[i] += there[i] - here[i]
		at := float64(n) * hz
		if at < s.rateHz/2 && s.quiet.Len() > 0 {
			noise := s.noise.Seen(at, s.rateHz, o.Window2(), s.density(at)) / float64(s.repeats.Averaged)
			h.FloorDB[i] = response.DB(noise/fundamental[i]) + there[i] - here[i]
		}
		if h.LevelDB[i] < h.FloorDB[i]+clearDB {
			h.LevelDB[i] = math.NaN()
		}
	}
	return h
}

func times(k float64, f []float64) []float64 {
	out := make([]float64, len(f))
	for i, v := range f {
		out[i] = k * v
	}
	return out
}

// noiseSeen is what the noise of the quiet part alone would show in the response,
// and the worst signal to noise per octave.
func (s *Study) noiseSeen(window2 float64, f []float64, r Response, addDB float64) Noise {
	if s.found != nil {
		return s.found.noise(s, window2, f, r, addDB)
	}
	n := Noise{FrequencyHz: f, LevelDB: make([]float64, len(f)), SNRDB: math.NaN(), SNRFromHz: math.NaN(), SNRToHz: math.NaN(),
		RMSDBFS: math.NaN(), PeakDBFS: 20 * math.Log10(peakOf(s.raw))}
	if s.quiet.Len() == 0 {
		for i := range n.LevelDB {
			n.LevelDB[i] = math.NaN()
		}
		return n
	}
	n.RMSDBFS = response.DB(2 * s.noise.Band(0, s.rateHz/2)) // re a full-scale sine, AES17
	correction := s.correctionDB(f)
	for i, hz := range f {
		seen := s.noise.Seen(math.Min(hz, s.rateHz/2), s.rateHz, window2, s.density(hz))
		n.LevelDB[i] = response.DB(seen/float64(s.repeats.Averaged)) + correction[i] + addDB
	}
	n.worstOctave(r)
	return n
}

// worstOctave measures the distance between response and noise per octave of the
// valid band, and finds the least.
func (n *Noise) worstOctave(r Response) {
	for from := r.ValidFromHz; from*1.4 < r.ValidToHz; from *= 2 {
		to := math.Min(2*from, r.ValidToHz)
		snr := response.MeanDB(r.FrequencyHz, r.MagnitudeDB, from, to) - response.MeanDB(n.FrequencyHz, n.LevelDB, from, to)
		if math.IsNaN(snr) {
			continue
		}
		n.Octaves = append(n.Octaves, Octave{from, to, snr})
		if !(n.SNRDB <= snr) {
			n.SNRDB, n.SNRFromHz, n.SNRToHz = snr, from, to
		}
	}
}

func (s *Study) readings(a *Analysis, used scale) Readings {
	r := a.Response
	out := Readings{DistanceM: math.NaN(), SensitivityDB: math.NaN(), DriveVolts: math.NaN()}
	from, to := math.Max(300, r.ValidFromHz), math.Min(3000, r.ValidToHz)
	if to < from { // a driver for other bands
		from, to = r.ValidFromHz, r.ValidToHz
	}
	out.MeanDB = response.MeanDB(r.FrequencyHz, r.MagnitudeDB, from, to)
	out.LowHz, out.HighHz = response.BandEnds(r.FrequencyHz, r.MagnitudeDB, from, to, out.MeanDB-10, r.ValidFromHz, r.ValidToHz)
	if s.reference != nil {
		out.DistanceM = s.distance()
	}
	if s.chain != nil {
		out.DriveVolts = level.Volts(s.levelDBFS, s.chain.VoltsAtFS)
		sensitivity := s.scaleFor(Settings{Level: SPLAt2V83, OneMetre: true})
		if s.chain.Calibrated() && !math.IsNaN(s.chain.VoltsAtFS) {
			out.SensitivityDB = out.MeanDB - used.addDB + sensitivity.addDB
		}
	}
	return out
}
