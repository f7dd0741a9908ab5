package take

import (
	"math"

	"stillroom/app/rig"
	"stillroom/dsp/impulse"
	"stillroom/dsp/level"
)

// Opening is what the gate lets through of one microphone of a take, with all that
// makes a response of it, for those who read more of it than an Analysis holds.
type Opening struct {
	Impulse  *impulse.Impulse // all of it; not to be changed
	ArrivalS float64          // lag of the arrival in Impulse
	PauseS   float64          // that the recording goes on after the sweep

	Gate  Gate          // as used
	Piece impulse.Piece // inside the gate; time zero at the arrival
	// FlightS is the time of flight from the output to the arrival; NaN without a
	// loopback, when phase can only count from the arrival.
	FlightS float64

	LowHz, HighHz            float64 // band in which Piece can be read at all
	ValidFromHz, ValidToHz   float64 // band in which the response is valid
	PlayedFromHz, PlayedToHz float64 // fully excited band
	AddDB                    float64 // from dB re the stimulus to Unit
	Unit                     string
	DriveDBFS                float64 // level of the sweep
	DistanceM                float64 // of the microphone; 0: not known
	OneMetreDB               float64 // of AddDB, what brings it to 1 m
	FixtureKind              rig.FixtureKind
	Name                     string // of the microphone, where there are several
}

// Microphones is how many microphones the take has.
func (s *Study) Microphones() int { return 1 + len(s.others) }

// microphone returns one microphone, from 1; nil where there is none of that number.
func (s *Study) microphone(number int) *Study {
	switch {
	case number <= 1:
		return s
	case number <= s.Microphones():
		return s.others[number-2]
	}
	return nil
}

// Open cuts one microphone's impulse response, from 1, with the gate of the settings.
// ok is false where there is no such microphone.
func (s *Study) Open(set Settings, number int) (o Opening, ok bool) {
	m := s.microphone(number)
	if m == nil || set.Check() != nil {
		return Opening{}, false
	}
	g := s.resolve(set.Gate)
	scale := m.scaleFor(set)
	o = Opening{Impulse: m.impulse, ArrivalS: m.lagS, PauseS: m.pauseS, Gate: g, FlightS: math.NaN(),
		Piece: m.impulse.Gated(m.lagS, impulse.Gate{OpenS: g.OpenS, CloseS: g.CloseS, OpenTaperS: g.OpenTaperS, CloseTaperS: g.CloseTaperS}),
		LowHz: 0.98 * m.stimulus.Band.EdgeHz, HighHz: 1.0001 * m.stimulus.HighHz,
		ValidFromHz: math.Max(m.stimulus.LowHz, 1/g.CloseS), ValidToHz: m.stimulus.HighHz,
		PlayedFromHz: m.stimulus.LowHz, PlayedToHz: m.stimulus.HighHz,
		AddDB: scale.addDB, Unit: scale.unit, DriveDBFS: m.levelDBFS, FixtureKind: m.rig.FixtureKind, Name: m.name}
	if m.reference != nil {
		o.FlightS = m.lagS
	}
	near := set
	near.OneMetre = false
	o.DistanceM, o.OneMetreDB = m.distance(), scale.addDB-m.scaleFor(near).addDB
	return o, true
}

// Factors are what the spectrum of the piece of a microphone, from 1, is multiplied
// by: microphone, interface and fixture taken out, and the level brought to addDB.
func (s *Study) Factors(number int, frequencyHz []float64, addDB float64) []complex128 {
	out := s.microphone(number).correction(frequencyHz)
	gain := complex(level.Ratio(addDB), 0)
	for i := range out {
		out[i] *= gain
	}
	return out
}

// AnalyseMicrophone is AnalyseAt for one microphone alone, from 1; nil where there is
// no such microphone.
func (s *Study) AnalyseMicrophone(set Settings, frequencyHz []float64, number int) (*Analysis, error) {
	if err := set.Check(); err != nil {
		return nil, err
	}
	m := s.microphone(number)
	if m == nil {
		return nil, nil
	}
	set.Gate = s.resolve(set.Gate)
	return m.analyse(set, frequencyHz), nil
}

// Bytes is about how much memory the study takes.
func (s *Study) Bytes() int {
	n := len(s.raw) + len(s.recording) + len(s.mean) + len(s.stimulus.Samples)
	if s.impulse != nil {
		n += len(s.impulse.Samples)
	}
	for _, o := range s.others {
		n += o.Bytes() / 8
	}
	if s.reference != nil {
		n += s.reference.Bytes() / 8
	}
	return 8 * n
}
