package curves

import (
	"context"
	"fmt"
	"math"
	"math/cmplx"
	"strings"

	"stillroom/app/board"
	"stillroom/app/take"
	"stillroom/dsp/combine"
	"stillroom/dsp/level"
	"stillroom/dsp/response"
)

// settings are those that a board reads a take with.
func settings(b board.Board, asKept take.Settings) take.Settings {
	set := take.Settings{Gate: asKept.Gate, Level: asKept.Level, OneMetre: asKept.OneMetre}
	if !b.Level.AsKept {
		set.Level, set.OneMetre = b.Level.Level, b.Level.OneMetre
	}
	switch b.Gate.Kind {
	case board.Fixed:
		set.Gate = take.Closing(b.Gate.CloseS)
	case board.Cycles:
		set.Gate = take.Ungated()
	}
	return set
}

// fromTake reads one microphone of a take, or the mean of all.
func (r *Reader) fromTake(ctx context.Context, b board.Board, from board.TakeSource) (*sound, error) {
	k, err := r.study(ctx, from.ID)
	if err != nil {
		return nil, err
	}
	set := settings(b, k.settings)
	if !from.Average || k.study.Microphones() == 1 {
		return r.microphone(b, k.study, set, max(from.Microphone, 1), from.ID)
	}
	var all []*sound
	for n := 1; n <= k.study.Microphones(); n++ {
		s, err := r.microphone(b, k.study, set, n, from.ID)
		if err != nil {
			return nil, err
		}
		all = append(all, s)
	}
	return average(r.grid, all, board.PowerMean)
}

// microphone reads one microphone. id names the take, so that harmonics can be read
// later; "" where there is none.
func (r *Reader) microphone(b board.Board, study *take.Study, set take.Settings, number int, id string) (*sound, error) {
	o, ok := study.Open(set, number)
	if !ok {
		return nil, fmt.Errorf("the take has %d microphones and none of number %d: choose another", study.Microphones(), number)
	}
	factors := func(hz []float64) []complex128 { return study.Factors(number, hz, o.AddDB) }
	s := r.opened(b, o, factors)
	s.played = set.Level == take.SPL && strings.HasPrefix(o.Unit, "dB SPL")
	if id != "" {
		s.analyse = func(ctx context.Context, smoothing int) (*take.Analysis, error) {
			r.mu.Lock()
			defer r.mu.Unlock()
			k, err := r.study(ctx, id)
			if err != nil {
				return nil, err
			}
			how := set
			how.Smoothing, how.Orders = smoothing, take.DefaultSettings().Orders
			return k.study.AnalyseMicrophone(how, response.Grid(s.rateHz), number)
		}
	}
	return s, nil
}

// opened reads an impulse response through its gate.
func (r *Reader) opened(b board.Board, o take.Opening, factors func([]float64) []complex128) *sound {
	s := &sound{gridHz: r.grid, phased: true, unit: o.Unit, rateHz: o.Impulse.RateHz, opening: &o, factors: factors,
		lowHz: o.ValidFromHz, highHz: o.ValidToHz, driveDBFS: o.DriveDBFS, fixture: o.FixtureKind, distanceM: o.DistanceM, metreDB: o.OneMetreDB}
	if o.OneMetreDB != 0 {
		s.distanceM = 1
	}
	own := response.Grid(s.rateHz)
	if b.Gate.Kind == board.Cycles {
		s.cycles = b.Gate.Cycles
		s.lowHz = math.Max(o.PlayedFromHz, s.cycles/o.PauseS)
	}
	h := s.spectrum(own)
	for i, c := range factors(own) {
		h[i] *= c
		if own[i] < o.LowHz || own[i] > o.HighHz {
			h[i] = cmplx.NaN()
		}
	}
	if !math.IsNaN(o.FlightS) { // phase counts from the output
		s.flightS, s.timed = o.FlightS, true
		h = response.MinusDelay(own, h, -o.FlightS)
	}
	s.h = onGrid(r.grid, h)
	s.limits = gateLimits(o, s.lowHz, s.cycles)
	return s
}

// spectrum reads the impulse response through the gate: one for all frequencies, or a
// number of periods at each.
func (s *sound) spectrum(hz []float64) []complex128 {
	if s.cycles == 0 {
		return s.opening.Piece.Spectrum(hz)
	}
	o, usual := s.opening, take.Closing(1)
	gate := response.CycleGate{Cycles: s.cycles, OpenS: usual.OpenS, OpenTaperS: usual.OpenTaperS, CloseShare: usual.CloseTaperS, LongestS: o.PauseS}
	return gate.Spectrum(o.Impulse, o.ArrivalS, hz)
}

// gateLimits says what a gate and a sweep leave out.
func gateLimits(o take.Opening, fromHz, cycles float64) []Limit {
	var out []Limit
	switch {
	case fromHz <= o.PlayedFromHz*1.001:
		out = append(out, Limit{0, fromHz, fmt.Sprintf("below %s nothing was played", board.Hertz(fromHz))})
	case cycles > 0:
		out = append(out, Limit{0, fromHz, fmt.Sprintf("below %s the recording is shorter than %g periods", board.Hertz(fromHz), cycles)})
	default:
		out = append(out, Limit{0, fromHz, fmt.Sprintf("below %s the gate is too short", board.Hertz(fromHz))})
	}
	return append(out, Limit{o.PlayedToHz, math.Inf(1), fmt.Sprintf("above %s nothing was played", board.Hertz(o.PlayedToHz))})
}

// fromImpulse reads an imported impulse response. Gates "as kept" leave it whole.
func (r *Reader) fromImpulse(b board.Board, from board.ImpulseSource) (*sound, error) {
	study, err := take.NewStudyOfImpulse(from.Samples, from.RateHz)
	if err != nil {
		return nil, err
	}
	s, err := r.microphone(b, study, settings(b, take.Settings{Gate: take.Ungated()}), 1, "")
	if err != nil {
		return nil, err
	}
	s.unit, s.driveDBFS = "dB", math.NaN()
	return s, nil
}

// fromCurve reads an imported curve between its ends.
func (r *Reader) fromCurve(from board.CurveSource) *sound {
	c := from.Curve
	low, high := c.FrequencyHz[0], c.FrequencyHz[len(c.FrequencyHz)-1]
	s := &sound{gridHz: r.grid, phased: len(c.PhaseDeg) > 0, unit: from.Unit, lowHz: low, highHz: high, rateHz: gridRateHz,
		driveDBFS: math.NaN(), h: make([]complex128, len(r.grid))}
	levels := combine.Resample(c.FrequencyHz, c.MagnitudeDB, r.grid)
	for i, hz := range r.grid {
		deg := 0.0
		if s.phased && c.Covers(hz) {
			deg = c.PhaseAt(hz)
		}
		s.h[i] = cmplx.Rect(level.Ratio(levels[i]), deg*math.Pi/180)
	}
	s.limits = []Limit{
		{0, low, fmt.Sprintf("below %s the file says nothing", board.Hertz(low))},
		{high, math.Inf(1), fmt.Sprintf("above %s the file says nothing", board.Hertz(high))},
	}
	return s
}
