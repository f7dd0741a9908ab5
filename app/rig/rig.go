// Package rig describes one way of measuring: which interface and channels, which
// microphones, which fixture, how loud and never louder than what, and the
// calibrations that turn digits into pascals and volts.
//
// A Rig is a value. It is kept as JSON and as a snapshot in every take, so fields
// are only ever added, and what its pointers and slices hold is never changed in
// place: the With methods return a rig that shares nothing they changed.
package rig

// Rig is one way of measuring, as it is chosen in the window, named on the
// command line and kept as a snapshot in every take.
type Rig struct {
	Name    string
	Kind    string // of the audio.Interface: "simulated" or "soundcard"
	Fixture string // the place: "open bench", "damped box", "room" …

	OutputDevice  string // audio.Device.ID
	InputDevice   string
	OutputChannel int // from 0
	InputChannel  int // from 0
	RateHz        float64

	LevelDBFS float64 // of the sweep; full scale is a sine whose peak is 1.0 (AES17)
	LimitDBFS float64 // the highest level this rig may play
	DistanceM float64 // microphone to device under test

	Simulated Simulated // what stands in the simulated rig; read when Kind is "simulated"

	InputRateHz       float64      `json:",omitzero"` // of an input device that does not run at RateHz; 0: RateHz
	LoopbackChannel   int          `json:",omitzero"` // input wired to the output, from 1; 0: none
	MoreMicrophones   []Microphone `json:",omitzero"` // besides the one on InputChannel
	FixtureKind       FixtureKind  `json:",omitzero"` // what Fixture is
	MaxVolts          float64      `json:",omitzero"` // highest voltage this rig may play, rms of a sine; 0: not limited
	RatedImpedanceOhm float64      `json:",omitzero"` // of the device under test; 0: not known
	Calibrations      Calibrations `json:",omitzero"`
}

// Simulated says what stands in the simulated rig.
type Simulated struct {
	Subject string // "woofer", "tweeter", "two-way", "headphone"
	Serial  string // seeds the spread of the unit
	Faults  []string

	Calibrator string `json:",omitzero"` // on the first microphone: "94:1000"; "": none
}

// Microphone is one microphone of a rig.
type Microphone struct {
	Channel int    // of the input device, from 0
	Name    string // what it is called, "" for none
	Place   string // where it stands: "left", "1 m on axis" …
}

// FixtureKind is what kind of place a fixture is.
type FixtureKind string

// The kinds of fixture.
const (
	OpenBench  FixtureKind = "open bench"
	DampedBox  FixtureKind = "damped box"
	Chamber    FixtureKind = "chamber"
	FlatPlate  FixtureKind = "flat plate"
	EarCoupler FixtureKind = "ear coupler"
	Room       FixtureKind = "room"
)

// FixtureKinds lists them in the order of a menu.
func FixtureKinds() []FixtureKind {
	return []FixtureKind{OpenBench, DampedBox, Chamber, FlatPlate, EarCoupler, Room}
}

// Worn tells whether a headphone sits on this kind of fixture, so that it must not
// sit on a head during a sweep.
func (k FixtureKind) Worn() bool { return k == FlatPlate || k == EarCoupler }

// Microphones returns all microphones of the rig, that on InputChannel first.
func (r Rig) Microphones() []Microphone {
	return append([]Microphone{{Channel: r.InputChannel}}, r.MoreMicrophones...)
}

// HasResponse tells whether this kind of fixture has a response of its own, the same
// in every take, that can be taken out. What no kind was told of may have one.
func (k FixtureKind) HasResponse() bool { return k != OpenBench && k != Room }
