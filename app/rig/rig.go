// Package rig describes one way of measuring: which interface and channels, which
// fixture, how loud, and never louder than what.
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
}

// Simulated says what stands in the simulated rig.
type Simulated struct {
	Subject string // "woofer", "tweeter", "two-way", "headphone"
	Serial  string // seeds the spread of the unit
	Faults  []string
}
