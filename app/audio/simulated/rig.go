// Package simulated is a rig made of physics: an audio.Interface that needs no
// sound card. What is played drives an amplifier and a driver, a loudspeaker or a
// headphone; its sound travels to two microphones, with what the walls of the
// place send back; and what they hear is recorded, with noise, latency and, where
// asked for, with faults.
//
// All that is linear acts as an analog transfer function on the spectrum of the
// whole exchange, so that the response is exact at every sample rate, and
// Rig.TrueResponse tells it. A headphone is seated anew for each exchange that plays:
// from the second on its low and its high end differ a little. Everything follows from the options and from how many
// exchanges went before, bit for bit.
package simulated

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"stillroom/app/audio"
	"stillroom/app/audio/simulated/bandlimited"
	"stillroom/app/audio/simulated/place"
	"stillroom/app/audio/simulated/transducer"
	"stillroom/app/rig"
)

// Kind is the name of this maker of an audio.Interface.
const Kind = "simulated"

// Inputs of the bench, as channels from 0. Only output 0 drives something.
const (
	MicrophoneIn = iota // the measuring microphone
	LoopbackIn          // a wire from output 0
	SecondIn            // a second microphone in another place
	IdleIn              // a preamplifier with nothing on it
	inputs
)

const outputs = 2

// Options say what stands in the rig. The zero value of each field is the usual.
type Options struct {
	// Subject is "woofer", "tweeter", "two-way" (the usual), "headphone", or one of
	// the ideal ones: "wire", "biquads", "polynomial".
	Subject string
	Serial  string   // of the unit; seeds how it differs from its model
	Faults  []string // see FaultNames

	// Calibrator is an acoustic calibrator on the first microphone, by its level and
	// frequency: "94:1000"; "": none.
	Calibrator string

	// Fixture is a name of place.Names; the usual is "damped box", for a headphone
	// "coupler", for ideal subjects "none". Room takes its place where given.
	Fixture      string
	Room         *place.Fixture
	DistanceM    float64 // of the microphone; 0: as the fixture has it
	TemperatureC float64 // of the air; 0: 20 °C

	Seed      uint64  // of noise and of where faults happen
	NoiseDBFS float64 // rms at the microphone; 0: -85, and none for ideal subjects
	Quiet     bool    // no noise, no quantisation
	RealTime  bool    // an exchange takes as long as its sound

	// Of the ideal subjects. Before and After are run at the sample rate; between
	// them Polynomial[i] weighs the (i+1)-th power of the signal.
	Before, After []Biquad
	Polynomial    []float64
}

// Rig is the simulated rig. It is safe for use from several goroutines.
type Rig struct {
	realTime bool
	running  sync.Mutex // held during an exchange
	pool     *bandlimited.Pool
	walls    walls

	mu      sync.Mutex
	options Options
	bench   *bench
	count   uint64 // of exchanges
	seated  uint64 // how often this unit was played to: a headphone is seated anew each time
}

// New returns a rig. It fails with audio.ErrBadRequest where the options name what
// does not exist or does not go together.
func New(o Options) (*Rig, error) {
	b, err := newBench(o)
	if err != nil {
		return nil, err
	}
	return &Rig{realTime: o.RealTime, options: o, bench: b, pool: &bandlimited.Pool{}}, nil
}

// Use puts another unit, other faults, another fixture or another distance into the
// rig, from the next exchange on. On an error, as of New, nothing changes.
func (r *Rig) Use(g rig.Rig) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	o := r.options
	o.Subject, o.Serial, o.Faults = g.Simulated.Subject, g.Simulated.Serial, slices.Clone(g.Simulated.Faults)
	o.Fixture, o.DistanceM, o.Calibrator = g.Fixture, g.DistanceM, g.Simulated.Calibrator
	b, err := newBench(o)
	if err != nil {
		return err
	}
	if o.Subject != r.options.Subject || o.Serial != r.options.Serial {
		r.seated = 0
	}
	r.options, r.bench = o, b
	return nil
}

// Kind returns "simulated".
func (r *Rig) Kind() string { return Kind }

// Subjects are the names that Options.Subject takes.
func Subjects() []string { return append(transducer.Subjects(), "wire", "biquads", "polynomial") }

// bench is what stands in the rig during an exchange. It is never changed.
type bench struct {
	options    Options
	unit       *transducer.Unit // nil for an ideal subject
	faults     faults
	calibrator *calibrator // on the first microphone; nil: none
	fixture    place.Fixture
	first      [3]float64 // microphones
	second     [3]float64
	speedMS    float64
}

func newBench(o Options) (*bench, error) {
	if o.Subject == "" {
		o.Subject = "two-way"
	}
	if !slices.Contains(Subjects(), o.Subject) {
		return nil, refuse("there is no subject %q to simulate; there are %s", o.Subject, strings.Join(Subjects(), ", "))
	}
	if o.TemperatureC == 0 {
		o.TemperatureC = 20
	}
	if !(o.TemperatureC > -60 && o.TemperatureC < 100) || !(o.NoiseDBFS <= 0) {
		return nil, refuse("air of %g °C or noise of %g dBFS is not possible", o.TemperatureC, o.NoiseDBFS)
	}
	b := &bench{options: o, unit: transducer.New(o.Subject, o.Serial), speedMS: place.Speed(o.TemperatureC)}
	var err error
	if b.faults, err = parseFaults(o.Faults); err != nil {
		return nil, err
	}
	if b.calibrator, err = parseCalibrator(o.Calibrator); err != nil {
		return nil, err
	}
	if b.fixture, err = b.chooseFixture(); err != nil {
		return nil, err
	}
	if b.first, b.second, err = b.fixture.Microphones(o.DistanceM); err != nil {
		return nil, refuse("%v", err)
	}
	return b, nil
}

// chooseFixture finds the place. A headphone sits on its coupler wherever that
// stands, and where there is no place an ideal subject has no air around it.
func (b *bench) chooseFixture() (place.Fixture, error) {
	coupler, _ := place.Find("coupler")
	o := b.options
	named, known := place.Find(o.Fixture)
	switch {
	case o.Fixture != "" && !known:
		return coupler, refuse("there is no fixture %q to simulate; there are %s", o.Fixture, strings.Join(place.Names(), ", "))
	case b.unit != nil && b.unit.Coupled:
		return coupler, nil
	case o.Room != nil:
		return *o.Room, nil
	case b.unit == nil && (!known || named.Name == "none"):
		return coupler, nil
	case !known:
		named, _ = place.Find("damped box")
	case b.unit != nil && named.Coupler:
		return coupler, refuse("a %s does not fit on a coupler: choose another fixture", o.Subject)
	}
	return named, nil
}

// noiseless tells whether the recording is left as the physics made it.
func (b *bench) noiseless() bool {
	return b.options.Quiet || b.unit == nil && b.options.NoiseDBFS == 0
}

func refuse(format string, args ...any) error {
	return fmt.Errorf("%w: %s", audio.ErrBadRequest, fmt.Sprintf(format, args...))
}
