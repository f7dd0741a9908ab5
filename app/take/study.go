package take

import (
	"errors"
	"fmt"
	"math"
	"time"

	"stillroom/app/audio"
	"stillroom/app/rig"
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
	coarse     int                     // by how many samples the recording lags what was played
	heardS     float64                 // arrival in the recording, after the sweep as played
	delayS     float64                 // what is told: heardS, or the time of flight with a loopback
	lagS       float64                 // arrival as a lag in impulse
	onsetS     float64                 // when the sweep arrives in the averaged recording
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
	clicks     []impulse.Burst // left in the average
	residueRMS float64

	reference *Study     // what the loopback channel heard; nil: none is wired
	mean      []float64  // the averaged recording, kept of a reference
	others    []*Study   // further microphones
	name      string     // of the microphone
	chain     *rig.Chain // its calibrations; nil: none are known
	rig       rig.Rig
	levelDBFS float64
	at        time.Time

	in    *Impulses // what stands in place of a recording; nil: there is one
	found *Found    // what was found in the recording that is not there any more
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

// NewStudy deconvolves a take: each of its microphones, against what its loopback
// channel heard where it has one.
func NewStudy(t *Take) (*Study, error) {
	switch {
	case t.Impulses != nil:
		return t.Impulses.study(t)
	case t.Foreign != nil:
		return t.Foreign.study(t)
	}
	played := t.Programme.Render()
	if t.PlayedSHA256 != "" && digest(played) != t.PlayedSHA256 {
		return nil, fmt.Errorf("this program renders another sweep than the one that was played (take %s, recorded by version %s): analyse it with that version", t.ID, t.Version)
	}
	rows := t.Capture.Channels
	mics := t.Rig.Microphones()
	wired := t.Rig.LoopbackChannel > 0
	want := len(mics)
	if wired {
		want++
	}
	if len(rows) < want {
		return nil, fmt.Errorf("the take holds %d recorded channels and its rig names %d: measure again", len(rows), want)
	}
	stimulus := programmeStimulus(t.Programme, played)
	if t.Capture.RateHz > 0 && t.Capture.RateHz < t.Programme.RateHz { // it heard no higher
		stimulus.HighHz = math.Min(stimulus.HighHz, 0.95*t.Capture.RateHz/2)
	}
	study := func(row int, reference *Study) (*Study, error) {
		heard := atRate(widen(rows[row]), t.Capture.RateHz, t.Programme.RateHz)
		s := &Study{stimulus: stimulus, rateHz: t.Programme.RateHz, facts: t.Capture.Facts, recording: heard,
			exact: true, oneClock: t.Rig.OutputDevice == t.Rig.InputDevice && !t.Capture.Facts.TwoStreams, rig: t.Rig, levelDBFS: t.Programme.LevelDBFS, at: t.At, reference: reference}
		return s, s.deconvolve()
	}
	var reference *Study
	if wired {
		var err error
		if reference, err = study(len(mics), nil); err != nil {
			return nil, fmt.Errorf("the loopback channel: %w", err)
		}
		if reference.arrival.Likeness < believableLikeness {
			return nil, fmt.Errorf("the loopback channel does not carry what was played: check the wire from the output to input %d, or take the loopback out of the rig", t.Rig.LoopbackChannel)
		}
	}
	first, err := study(0, reference)
	if err != nil {
		return nil, err
	}
	first.chain = chainOf(t.Rig, mics[0].Channel, wired)
	for i := 1; i < len(mics); i++ {
		s, err := study(i, reference)
		if err != nil {
			return nil, fmt.Errorf("microphone %d: %w", i+1, err)
		}
		s.chain, s.name = chainOf(t.Rig, mics[i].Channel, wired), nameOf(mics[i], i)
		first.others = append(first.others, s)
	}
	first.name = nameOf(mics[0], 0)
	return first, nil
}

// atRate brings a recording to the rate of what was played. What lies above half of
// the lower rate is lost.
func atRate(x []float64, fromHz, toHz float64) []float64 {
	if fromHz == toHz || fromHz == 0 {
		return x
	}
	if fromHz > toHz {
		x = impulse.LowPass(x, fromHz, 0.98*toHz/2)
	}
	return impulse.Resample(x, 1e6*(fromHz/toHz-1))
}

// chainOf is what is known of a microphone's channel.
func chainOf(r rig.Rig, channel int, wired bool) *rig.Chain {
	c := r.Chain(channel)
	if wired {
		c = c.WithLoopback()
	}
	return &c
}

func nameOf(m rig.Microphone, i int) string {
	switch {
	case m.Name != "" && m.Place != "":
		return m.Name + ", " + m.Place
	case m.Name+m.Place != "":
		return m.Name + m.Place
	}
	return fmt.Sprintf("microphone %d", i+1)
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
	s.arrive()
	s.heardS, s.delayS, s.onsetS = s.lagS, s.lagS, s.lagS
	s.pauseS = math.Max(shortestPauseS, float64(len(samples))/rateHz-s.lagS)
	return s, nil
}

// Calibrate says what is known of the channel of a recording made elsewhere. The
// level of what was played is taken to be the peak of the stimulus.
func (s *Study) Calibrate(c rig.Chain) {
	s.chain = &c
	s.levelDBFS = levelDB(peakOf(s.stimulus.Samples))
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

// study deconvolves a recording made elsewhere: its first channel.
func (x *Foreign) study(t *Take) (*Study, error) {
	if len(t.Capture.Channels) == 0 {
		return nil, errors.New("the take has no recording")
	}
	s, err := NewStudyOf(widen(x.Samples), widen(t.Capture.Channels[0]), t.Capture.RateHz)
	if err != nil {
		return nil, err
	}
	s.rig, s.at, s.levelDBFS = t.Rig, t.At, levelDB(peakOf(s.stimulus.Samples))
	return s, nil
}
