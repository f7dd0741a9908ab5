package take

import (
	"errors"
	"fmt"
	"math"
	"time"

	"stillroom/dsp/impulse"
	"stillroom/dsp/response"
)

// Impulses are what a take carries in place of its recording: the impulse response
// of each microphone, and what was found in the recording besides it, which cannot be
// found again.
type Impulses struct {
	Origin Origin
	From   string    `json:",omitzero"` // name of the file of an imported one
	At     time.Time // when the recording went, or the file came in; UTC

	RateHz      float64
	Microphones []ImpulseOf // one at least
}

// Origin says why there is no recording.
type Origin string

// The origins.
const (
	WasShed  Origin = "shed"     // there was one, and it was not kept
	Imported Origin = "imported" // an impulse response came from a file
)

// ImpulseOf is what stays of one microphone.
type ImpulseOf struct {
	Name     string       `json:",omitzero"`
	Samples  Floats       // re the stimulus; of a shed take its causal low edge stands in them
	FirstLag int          // lag of Samples[0], in samples
	Band     impulse.Band `json:",omitzero"` // of the stimulus
	PauseS   float64      // that the recording went on after each sweep
	Found    *Found       `json:",omitzero"` // nil: nothing is known but the impulse response
}

// Found is what was found of one microphone's recording. Curves lie on the grid of
// stored curves for the take's rate.
type Found struct {
	DelayS, HeardS, LagS, OnsetS float64
	Inverted                     bool
	Likeness                     float64
	Flight                       bool // a loopback told when the sound left
	ReflectionS                  figure
	ReflectionDB                 figure

	DriftPPM, SlipS   figure
	Corrected         bool `json:",omitzero"`
	Lost              int  `json:",omitzero"`
	Played, Averaged  int
	Slipped, Spoiled  []int           `json:",omitzero"`
	Repeats           []foundInOctave `json:",omitzero"`
	QuietDBFS, PeakDB figure          // of the quiet part, of all

	// NoiseDB is what noise shows in the response per unit of the squared window, dB re
	// the stimulus; nil where there was no quiet.
	NoiseDB   Floats `json:",omitzero"`
	Smoothing int    // with which the harmonics were read, as in Settings
	Harmonics []foundOrder
	Findings  []foundFinding
}

type foundInOctave struct {
	FromHz, ToHz      float64
	SpreadDB, NoiseDB figure
}

type foundOrder struct {
	Order            int
	FromHz, ToHz     figure
	LevelDB, FloorDB Floats
}

type foundFinding struct {
	Code     string
	Severity Severity
	Value    figure
	Unit     string `json:",omitzero"`
	Message  string
}

// Shed returns the take without its recording: with the impulse responses of all its
// microphones in place of it, kept from 20 ms before the arrival for as long as the
// recording went on, as float32; and with its harmonics, its noise and its findings as
// they are with the take's settings. The take itself is left as it is. It fails where
// there is no recording, or where nothing can be read from it.
func Shed(t *Take, at time.Time) (*Take, error) {
	if len(t.Capture.Channels) == 0 {
		return nil, errors.New("the take has no recording to leave out")
	}
	if t.Foreign != nil {
		return nil, errors.New("the take was recorded elsewhere, with a stimulus of its own: such a recording stays")
	}
	s, err := NewStudy(t)
	if err != nil {
		return nil, fmt.Errorf("its impulse response cannot be found, so the recording stays: %w", err)
	}
	set := t.Settings.asUsed()
	grid := response.Grid(s.rateHz)
	kept := &Impulses{Origin: WasShed, At: at.UTC().Truncate(time.Microsecond), RateHz: s.rateHz}
	for _, m := range append([]*Study{s}, s.others...) {
		if m.impulse == nil || m.repeats.Averaged == 0 {
			return nil, errors.New("its impulse response cannot be found, so the recording stays")
		}
		mic := set
		mic.Gate = s.resolve(set.Gate)
		kept.Microphones = append(kept.Microphones, m.shed(m.analyse(mic, grid)))
	}
	out := *t
	out.Capture.Channels = nil
	out.Impulses = kept
	return &out, nil
}

// asUsed is the settings with their gate as it stands in them, where it was resolved.
func (s Settings) asUsed() Settings {
	if s.Gate.CloseS > 0 {
		s.Gate.Auto = false
	}
	return s
}

// shed keeps what stays of one microphone.
func (s *Study) shed(a *Analysis) ImpulseOf {
	from := int(math.Floor((s.lagS - leadS) * s.rateHz))
	to := int(math.Ceil((s.lagS+s.pauseS)*s.rateHz)) + 1
	return ImpulseOf{Name: s.name, Samples: narrow(s.impulse.Cut(from, max(to, from+1))), FirstLag: from, Band: s.impulse.Band,
		PauseS: s.pauseS, Found: s.findAll(a)}
}

func (s *Study) findAll(a *Analysis) *Found {
	f := &Found{DelayS: s.delayS, HeardS: s.heardS, LagS: s.lagS, OnsetS: s.onsetS,
		Inverted: s.arrival.Inverted, Likeness: s.arrival.Likeness, Flight: s.reference != nil,
		ReflectionS: figure(math.NaN()), ReflectionDB: figure(math.NaN()),
		DriftPPM: figure(s.clock.DriftPPM), SlipS: figure(s.clock.SlipS), Corrected: s.clock.Corrected, Lost: s.clock.Lost,
		Played: s.repeats.Played, Averaged: s.repeats.Averaged, Slipped: s.repeats.Slipped, Spoiled: s.repeats.Spoiled,
		QuietDBFS: figure(a.Noise.RMSDBFS), PeakDB: figure(a.Noise.PeakDBFS), Smoothing: a.Settings.Smoothing}
	if r := s.reflection; r != nil {
		f.ReflectionS, f.ReflectionDB = figure(r.DelayS), figure(r.LevelDB)
	}
	for _, b := range s.repeats.Bands {
		f.Repeats = append(f.Repeats, foundInOctave{b.FromHz, b.ToHz, figure(b.SpreadDB), figure(b.NoiseDB)})
	}
	if s.quiet.Len() > 0 {
		for _, hz := range a.Response.FrequencyHz {
			seen := s.noise.Seen(math.Min(hz, s.rateHz/2), s.rateHz, 1, s.density(hz))
			f.NoiseDB = append(f.NoiseDB, float32(response.DB(seen/float64(s.repeats.Averaged))))
		}
	}
	for _, h := range a.Harmonics {
		f.Harmonics = append(f.Harmonics, foundOrder{h.Order, figure(h.FromHz), figure(h.ToHz), narrow(h.LevelDB), narrow(h.FloorDB)})
	}
	for _, x := range a.Findings {
		f.Findings = append(f.Findings, foundFinding{x.Code, x.Severity, figure(x.Value), x.Unit, x.Message})
	}
	return f
}
