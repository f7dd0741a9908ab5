package take

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"stillroom/dsp/distortion"
	"stillroom/dsp/impulse"
	"stillroom/dsp/level"
	"stillroom/dsp/response"
)

// noRecording is the code of the finding that says that there is no recording.
const noRecording = "no-recording"

// study makes a study of what a take carries in place of its recording.
func (k *Impulses) study(t *Take) (*Study, error) {
	if len(k.Microphones) == 0 || !(k.RateHz > 0) {
		return nil, errors.New("the take holds neither a recording nor an impulse response: it is damaged, put it back from a backup")
	}
	var first *Study
	mics := t.Rig.Microphones()
	for i, m := range k.Microphones {
		s, err := k.studyOf(t, m)
		if err != nil {
			return nil, fmt.Errorf("microphone %d: %w", i+1, err)
		}
		if i < len(mics) && k.Origin == WasShed {
			s.chain = chainOf(t.Rig, mics[i].Channel, t.Rig.LoopbackChannel > 0)
		}
		if first == nil {
			first = s
		} else {
			first.others = append(first.others, s)
		}
	}
	return first, nil
}

func (k *Impulses) studyOf(t *Take, m ImpulseOf) (*Study, error) {
	if len(m.Samples) == 0 {
		return nil, errors.New("its impulse response has no samples: put the take back from a backup")
	}
	if m.Found == nil {
		s, err := NewStudyOfImpulse(widen(m.Samples), k.RateHz)
		if err == nil {
			s.in, s.name, s.rig, s.at = k, m.Name, t.Rig, t.At
		}
		return s, err
	}
	f := m.Found
	s := &Study{stimulus: programmeStimulus(t.Programme, t.Programme.Render()), rateHz: k.RateHz, facts: t.Capture.Facts, exact: true,
		impulse: m.circular(k.RateHz), density: func(float64) float64 { return 1 }, pauseS: m.PauseS,
		heardS: f.HeardS, delayS: f.DelayS, lagS: f.LagS, onsetS: f.OnsetS,
		arrival: impulse.Arrival{DelayS: f.LagS, Inverted: f.Inverted, Likeness: f.Likeness},
		clock:   Clock{DriftPPM: float64(f.DriftPPM), Corrected: f.Corrected, SlipS: float64(f.SlipS), Lost: f.Lost},
		repeats: Repeats{Played: f.Played, Averaged: f.Averaged, Slipped: f.Slipped, Spoiled: f.Spoiled},
		name:    m.Name, rig: t.Rig, levelDBFS: t.Programme.LevelDBFS, at: t.At, in: k, found: f}
	if t.Capture.RateHz > 0 && t.Capture.RateHz < t.Programme.RateHz {
		s.stimulus.HighHz = math.Min(s.stimulus.HighHz, 0.95*t.Capture.RateHz/2)
	}
	if f.Flight {
		s.reference = &Study{} // it told the flight; no more of it is asked
	}
	if !math.IsNaN(float64(f.ReflectionS)) {
		s.reflection = &impulse.Reflection{DelayS: float64(f.ReflectionS), LevelDB: float64(f.ReflectionDB)}
	}
	for _, b := range f.Repeats {
		s.repeats.Bands = append(s.repeats.Bands, Agreement{b.FromHz, b.ToHz, float64(b.SpreadDB), float64(b.NoiseDB)})
	}
	return s, nil
}

// circular puts the samples back to their lags, with silence where nothing is kept:
// for the longest opening of a gate before them, and for as long behind.
func (m ImpulseOf) circular(rateHz float64) *impulse.Impulse {
	room := int(0.6 * rateHz)
	n := len(m.Samples) + 2*room
	h := &impulse.Impulse{Samples: make([]float64, n), RateHz: rateHz, Band: m.Band}
	for i, v := range m.Samples {
		h.Samples[((m.FirstLag+i)%n+n)%n] = float64(v)
	}
	return h
}

// noise is what noiseSeen finds in a recording.
func (f *Found) noise(s *Study, window2 float64, hz []float64, r Response, addDB float64) Noise {
	n := Noise{FrequencyHz: hz, LevelDB: make([]float64, len(hz)), SNRDB: math.NaN(), SNRFromHz: math.NaN(), SNRToHz: math.NaN(),
		RMSDBFS: float64(f.QuietDBFS), PeakDBFS: float64(f.PeakDB)}
	correction := s.correctionDB(hz)
	grid := response.Grid(s.rateHz)
	for i, x := range hz {
		n.LevelDB[i] = between(grid, f.NoiseDB, x) + level.DB(math.Sqrt(window2)) + correction[i] + addDB
	}
	n.worstOctave(r)
	return n
}

// harmonics are the orders up to the highest asked for, as they were found.
func (f *Found) harmonics(rateHz float64, set Settings, hz []float64) ([]Harmonic, Harmonic) {
	grid := response.Grid(rateHz)
	total := Harmonic{FrequencyHz: hz, FromHz: math.Inf(1)}
	var all []Harmonic
	var levels [][]float64
	for _, o := range f.Harmonics {
		if o.Order > set.Orders {
			continue
		}
		h := Harmonic{Order: o.Order, FrequencyHz: hz, FromHz: float64(o.FromHz), ToHz: float64(o.ToHz)}
		for _, x := range hz {
			h.LevelDB = append(h.LevelDB, between(grid, o.LevelDB, x))
			h.FloorDB = append(h.FloorDB, between(grid, o.FloorDB, x))
		}
		all, levels = append(all, h), append(levels, h.LevelDB)
		total.FromHz, total.ToHz = math.Min(total.FromHz, h.FromHz), math.Max(total.ToHz, h.ToHz)
	}
	if len(all) == 0 {
		return nil, Harmonic{}
	}
	total.LevelDB = distortion.TotalDB(levels)
	return all, total
}

// between reads a curve on a grid: its value at a frequency of the grid, linear over
// log frequency elsewhere; NaN outside, and beside an unknown value.
func between(grid []float64, curve Floats, hz float64) float64 {
	i := sort.SearchFloat64s(grid, hz*(1-1e-9))
	switch {
	case i >= len(grid) || i >= len(curve):
		return math.NaN()
	case grid[i] <= hz*(1+1e-9):
		return float64(curve[i])
	case i == 0:
		return math.NaN()
	}
	u := math.Log(hz/grid[i-1]) / math.Log(grid[i]/grid[i-1])
	return float64(curve[i-1]) + u*(float64(curve[i])-float64(curve[i-1]))
}

// judgeImpulses says what is known of a take without a recording: what was found in
// it, the gate as it is now, and that distortion is as it was.
func (s *Study) judgeImpulses(a *Analysis) []Finding {
	out := append(one(noRecording, Note, math.NaN(), "", s.in.words(s.found)), s.judgeGate(a)...)
	if s.found == nil {
		return append(out, s.judgePolarity(a)...)
	}
	for _, x := range s.found.Findings {
		if x.Code != "gate-short" {
			out = append(out, Finding{x.Code, x.Severity, float64(x.Value), x.Unit, x.Message})
		}
	}
	return bySeverity(out)
}

// words says that there is no recording, and what follows from it.
func (k *Impulses) words(f *Found) string {
	if f == nil {
		return fmt.Sprintf("The impulse response came from the file %s: nothing is known of its noise, its distortion or its clocks.", k.From)
	}
	smoothed := "without smoothing"
	if f.Smoothing > 0 {
		smoothed = fmt.Sprintf("over 1/%d octave", f.Smoothing)
	}
	return fmt.Sprintf("The recording was not kept: distortion and noise are as they were when it was left out on %s, read %s. The response is worked out anew from the impulse response.",
		k.At.Format("2 January 2006"), smoothed)
}
