package curves

import (
	"math"

	"stillroom/app/board"
	"stillroom/dsp/decay"
	"stillroom/dsp/impulse"
	"stillroom/dsp/level"
	"stillroom/dsp/octave"
	"stillroom/dsp/response"
)

// noImpulse says why a trace has no curves over time.
const noImpulse = "it has no impulse response: only takes and imported impulse responses have one"

// What is shown over time: from a little before the arrival to some way past the end
// of the gate, and not for ever.
const (
	shownFromS  = -0.002
	shownLeastS = 0.014
	shownMostS  = 0.3
	pastGate    = 1.3
)

// OverTime is a curve over the time from the arrival.
type OverTime struct {
	TimeS []float64
	Value []float64
}

// untimed says why there is nothing over time; "" where there is.
func (t *Trace) untimed() string {
	switch {
	case t.Problem != "":
		return t.Problem
	case t.sound.opening == nil:
		return noImpulse
	}
	return ""
}

// GateS is when the gate closes after the arrival; NaN where there is no gate.
func (t *Trace) GateS() float64 {
	if t.untimed() != "" || t.sound.cycles > 0 {
		return math.NaN()
	}
	return t.sound.opening.Gate.CloseS
}

// endS is how far curves over time reach.
func (s *sound) endS() float64 {
	end := math.Max(shownLeastS, pastGate*math.Min(s.opening.Gate.CloseS, shownMostS))
	return math.Min(end, s.opening.PauseS)
}

// gain is what alignment and offset make of a pressure.
func (t *Trace) gain() float64 { return level.Ratio(t.AlignDB + t.OffsetDB) }

// Impulse is the impulse response around the arrival, beyond the gate too: re the
// stimulus, with alignment and offset, microphone and fixture not taken out.
func (t *Trace) Impulse() (c OverTime, why string) {
	if why = t.untimed(); why != "" {
		return c, why
	}
	o := t.sound.opening
	rate := o.Impulse.RateHz
	from, to := int(math.Ceil((o.ArrivalS+shownFromS)*rate)), int((o.ArrivalS+t.sound.endS())*rate)
	c.Value = o.Impulse.Cut(from, max(from, to))
	gain := t.gain()
	for i := range c.Value {
		c.TimeS = append(c.TimeS, float64(from+i)/rate-o.ArrivalS)
		c.Value[i] *= gain
	}
	return c, ""
}

// Step is the step response, likewise.
func (t *Trace) Step() (c OverTime, why string) {
	if why = t.untimed(); why != "" {
		return c, why
	}
	o := t.sound.opening
	c.TimeS, c.Value = decay.Step(o.Impulse, o.ArrivalS, shownFromS, t.sound.endS())
	gain := t.gain()
	for i := range c.Value {
		c.Value[i] *= gain
	}
	return c, ""
}

// EnergyTime is the energy–time curve in dB re its highest value.
func (t *Trace) EnergyTime() (c OverTime, why string) {
	if why = t.untimed(); why != "" {
		return c, why
	}
	o := t.sound.opening
	c.TimeS, c.Value = decay.EnergyTime(o.Impulse, o.ArrivalS, shownFromS, t.sound.endS())
	return c, ""
}

// Usual extents of maps.
const (
	decaySlices   = 61
	decayLastS    = 0.005
	decayRiseS    = 0.0003
	closingShare  = 0.25
	periodRows    = 81
	periodsLast   = 20
	burstPeriods  = 4
	burstClear    = 0.8409 // of the band's upper end: a quarter octave, within which a burst meets the ringing of that end
	frames        = 101
	framesLastS   = 0.02
	frameWindowS  = 0.003
	mapEvery      = 2 // of the grid: 48 points to the octave
	lowestShownHz = 20
)

// Decay is the cumulative spectral decay over time, or over periods, in dB re its
// highest level; over periods each frequency re its own.
func (t *Trace) Decay(how board.Decay, periods bool) (s decay.Surface, why string) {
	if why = t.untimed(); why != "" {
		return s, why
	}
	o := t.sound.opening
	if periods {
		last := orElse(how.Periods, periodsLast)
		d := decay.OverPeriods{Cycles: burstPeriods, StepPeriods: last / (periodRows - 1), Rows: periodRows, Gate: t.sound.gate()}
		return t.banded(d.Surface(o.Impulse, o.ArrivalS, t.sound.mapHz(burstClear))).EachRePeak(), ""
	}
	end := t.sound.gate().CloseS
	last := math.Min(orElse(how.LastsS, decayLastS), 0.95*end)
	c := decay.Cumulative{StepS: last / (decaySlices - 1), Slices: decaySlices, RiseS: decayRiseS, EndS: end, FallS: closingShare * end}
	return rePeak(t.banded(c.Surface(o.Impulse, o.ArrivalS, t.sound.mapHz(1)))), ""
}

// Spectrogram is a row of short spectra, in dB re the highest level.
func (t *Trace) Spectrogram(how board.Decay) (s decay.Surface, why string) {
	if why = t.untimed(); why != "" {
		return s, why
	}
	o := t.sound.opening
	last := math.Min(orElse(how.LastsS, framesLastS), o.PauseS)
	g := decay.Spectrogram{FromS: shownFromS, StepS: (last - shownFromS) / (frames - 1), Frames: frames, WindowS: frameWindowS}
	return rePeak(t.banded(g.Surface(o.Impulse, o.ArrivalS, t.sound.mapHz(1)))), ""
}

func orElse(v, otherwise float64) float64 {
	if v > 0 {
		return v
	}
	return otherwise
}

// gate is the window on the impulse response for maps.
func (s *sound) gate() impulse.Gate {
	g := s.opening.Gate
	return impulse.Gate{OpenS: g.OpenS, CloseS: g.CloseS, OpenTaperS: g.OpenTaperS, CloseTaperS: g.CloseTaperS}
}

// mapHz is the frequencies of maps, up to so many parts of the band that was played.
func (s *sound) mapHz(share float64) []float64 {
	var out []float64
	for i, hz := range response.Grid(s.rateHz) {
		if i%mapEvery == 0 && hz >= lowestShownHz && hz <= share*s.opening.PlayedToHz {
			out = append(out, hz)
		}
	}
	return out
}

// banded takes microphone, interface and fixture out of a map, and keeps the band that
// was played.
func (t *Trace) banded(s decay.Surface) decay.Surface {
	correction := response.LevelsDB(powers(t.sound.factors(s.FrequencyHz)))
	for _, row := range s.LevelDB {
		for i := range row {
			row[i] += correction[i]
		}
	}
	return s.Within(t.sound.opening.PlayedFromHz, t.sound.opening.PlayedToHz)
}

func rePeak(s decay.Surface) decay.Surface {
	top := s.PeakDB()
	for _, row := range s.LevelDB {
		for i := range row {
			row[i] -= top
		}
	}
	return s
}

// Bands is levels in fractional-octave bands.
type Bands struct {
	Bands   []octave.Band
	LevelDB []float64 // NaN where a band is not valid in whole
}

// BandLevels are the levels in third-octave bands as shown, that of pink noise played
// (IEC 61260-1), weighted where the board says so.
func (s *Set) BandLevels(t *Trace) (b Bands, why string) {
	if t.Problem != "" {
		return b, t.Problem
	}
	bands := octave.Between(3, lowestShownHz, 20000)
	levels := response.LevelsDB(powers(t.sound.h))
	for i, hz := range s.FrequencyHz {
		switch levels[i] += t.AlignDB + t.OffsetDB; s.Board.Weighting {
		case board.A:
			levels[i] += level.AWeightingDB(hz)
		case board.C:
			levels[i] += level.CWeightingDB(hz)
		}
	}
	return Bands{bands, octave.LevelsDB(s.FrequencyHz, t.Within(s.FrequencyHz, levels), bands)}, ""
}
