package take

import (
	"errors"
	"fmt"
	"math"

	"stillroom/app/audio"
	"stillroom/dsp/excitation"
	"stillroom/dsp/impulse"
	"stillroom/dsp/response"
)

// ErrNoSignal says that a recording does not hold what was played.
var ErrNoSignal = errors.New("the recording does not hold the signal that was played")

// Study is a take deconvolved: Analyse reads from it as often as is wanted. It may
// be used from one goroutine at a time.
type Study struct {
	stimulus  Stimulus
	raw       []float64 // as recorded
	recording []float64 // its offset, its hum and its drift taken out
	rateHz    float64
	facts     audio.Facts
	exact     bool // the programme is ours: parts stand where it says

	impulse    *impulse.Impulse
	density    func(f float64) float64 // |X|² of the stimulus
	pauseS     float64                 // that the recording goes on after each sweep
	missing    float64                 // by how much the recording ends before the sweep does, s
	delayS     float64                 // arrival after the sweep as played
	lagS       float64                 // arrival as a lag in impulse
	arrival    impulse.Arrival
	clock      Clock
	oneClock   bool // output and input run on one clock: drift is impossible
	reflection *impulse.Reflection
	quiet      excitation.Span // of the recording; empty where there is none
	noise      response.Density
	offset     float64 // constant part of the quiet, full scale
	hum        *response.Hum
	repeats    Repeats
	rows       [][]float64     // the repeats, until they are compared
	shifted    bool            // whole samples were lost between repeats
	bursts     []impulse.Burst // stretches of repeats that were left out
	clicks     []impulse.Burst // left in the average
	residueRMS float64
}

// Stimulus is one sweep, or another broadband signal, as it was emitted, and where
// it stands in all that was played.
type Stimulus struct {
	Kind    string // "log sweep", "broadband" or "impulse response"
	Samples []float64
	Layout  excitation.Layout
	Mark    []float64 // one timing mark; nil where there is none
	MarkLow float64
	MarkTop float64
	Log     bool // an exponential sweep: harmonics can be separated
	Sweep   excitation.Sweep
	Band    impulse.Band
	LowHz   float64 // fully excited from here
	HighHz  float64 // to here
}

// NewStudy deconvolves a take.
func NewStudy(t *Take) (*Study, error) {
	played := t.Programme.Render()
	if t.PlayedSHA256 != "" && digest(played) != t.PlayedSHA256 {
		return nil, fmt.Errorf("this program renders another sweep than the one that was played (take %s, recorded by version %s): analyse it with that version", t.ID, t.Version)
	}
	if len(t.Capture.Channels) == 0 {
		return nil, fmt.Errorf("the take holds no recording: measure again")
	}
	s := &Study{stimulus: programmeStimulus(t.Programme, played), rateHz: t.Programme.RateHz,
		facts: t.Capture.Facts, recording: widen(t.Capture.Channels[0]), exact: true, oneClock: t.Rig.OutputDevice == t.Rig.InputDevice}
	return s, s.deconvolve()
}

// NewStudyOf deconvolves a recording of any stimulus, at one sample rate.
func NewStudyOf(stimulus, recording []float64, rateHz float64) (*Study, error) {
	st, err := foreignStimulus(stimulus, rateHz)
	if err != nil {
		return nil, err
	}
	s := &Study{stimulus: st, rateHz: rateHz, recording: recording}
	return s, s.deconvolve()
}

// NewStudyOfImpulse takes an impulse response measured elsewhere. Nothing is known
// of its noise, its distortion or its clocks.
func NewStudyOfImpulse(samples []float64, rateHz float64) (*Study, error) {
	if peakOf(samples) == 0 {
		return nil, fmt.Errorf("%w: the impulse response is silent", ErrNoSignal)
	}
	room := int(0.2 * rateHz) // so that its end does not wrap to before its start
	h := &impulse.Impulse{Samples: append(append(make([]float64, 0, len(samples)+room), samples...), make([]float64, room)...),
		RateHz: rateHz, Band: impulse.Band{FullHz: 0.49 * rateHz, StopHz: 0.5 * rateHz}}
	s := &Study{rateHz: rateHz, raw: samples, recording: samples, impulse: h, repeats: Repeats{Played: 1, Averaged: 1}, clock: Clock{DriftPPM: math.NaN(), SlipS: math.NaN()},
		density:  func(float64) float64 { return 1 },
		stimulus: Stimulus{Kind: "impulse response", Samples: samples, LowHz: 10, HighHz: 0.49 * rateHz, Band: h.Band}}
	s.arrive(0)
	s.pauseS = math.Max(shortestPauseS, float64(len(samples))/rateHz-s.lagS)
	return s, nil
}

func programmeStimulus(p excitation.Programme, played []float32) Stimulus {
	l, sweep := p.Layout(), p.Sweep()
	low, high := p.MarkBand()
	return Stimulus{
		Kind: logSweep, Samples: widen(played[l.Sweeps[0].From:l.Sweeps[0].To]), Layout: l,
		Mark: widen(played[l.Marks[0].From:l.Marks[0].To]), MarkLow: low, MarkTop: high,
		Log: true, Sweep: sweep, Band: impulse.BandOf(sweep), LowHz: p.LowHz, HighHz: math.Min(p.HighHz, sweep.FullToHz()),
	}
}

func widen(x []float32) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = float64(v)
	}
	return out
}
