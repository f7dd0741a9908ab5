package desk

import (
	"context"
	"fmt"
	"slices"

	"stillroom/app/records"
	"stillroom/app/rig"
	"stillroom/app/take"
)

// Kinds of rig.
const (
	Simulated = "simulated"
	SoundCard = "soundcard"
)

const (
	newLevelDBFS  = -40.0 // a new rig starts here
	newLimitDBFS  = -12.0
	simulatedDBFS = -12.0 // nothing can be hurt in a simulated rig
)

// SimulatedRig is the rig of a first start: no hardware, the invented two-way
// loudspeaker before the microphone.
func SimulatedRig() rig.Rig {
	return rig.Rig{
		Name: "Simulated bench", Kind: Simulated, Fixture: "damped box", FixtureKind: rig.DampedBox,
		RateHz: 48000, LevelDBFS: simulatedDBFS, LimitDBFS: 0, DistanceM: 0.5,
		Simulated: rig.Simulated{Subject: "two-way", Serial: "HR6-01182"},
	}
}

// NewRig is a rig for a sound card with nothing chosen, so that nothing sounds
// by accident: at −40 dBFS and limited to −12 dBFS.
func NewRig(name string) rig.Rig {
	return rig.Rig{
		Name: name, Kind: SoundCard, Fixture: "open bench", FixtureKind: rig.OpenBench,
		RateHz: 48000, LevelDBFS: newLevelDBFS, LimitDBFS: newLimitDBFS, DistanceM: 0.5,
	}
}

// SetRigForm uses what was typed. Where a line cannot be used nothing is changed
// and the lines are returned.
func (d *Desk) SetRigForm(ctx context.Context, f RigForm) ([]Field, error) {
	r, wrong := readRig(d.State().Rig, f)
	if len(wrong) > 0 {
		return wrong, nil
	}
	return nil, d.SetRig(ctx, r)
}

// SetRig uses and keeps a rig. A sound that runs is stopped first, since it runs
// on the rig as it was.
func (d *Desk) SetRig(ctx context.Context, r rig.Rig) error {
	d.rigs.Lock()
	defer d.rigs.Unlock()
	d.sound.cancelNow()
	d.sound.wait()
	was := d.State()
	before := was.Rig
	if err := d.stage(r); err != nil {
		return d.fail(err)
	}
	version, err := d.keepRig(ctx, was, r)
	if err != nil {
		return d.fail(err)
	}
	rigs, err := records.Rigs(d.parts.Records).Values(ctx)
	if err != nil {
		return d.fail(fmt.Errorf("the rigs cannot be read: %w", err))
	}
	d.change(RigTopic|SubjectTopic|BenchTopic, func(s *State) {
		s.Bench = fresh(s.Bench, before, r)
		s.Rig, s.Rigs, s.kept = r, rigs, version
		s.Programme.RateHz, s.Programme.LevelDBFS = r.RateHz, r.LevelDBFS
		s.Programme.HighHz = min(s.Programme.HighHz, r.RateHz*0.49)
		s.Subject = followSubject(s.Subject, before, r)
	})
	d.Rescan(ctx)
	return nil
}

// followSubject takes over the unit that stands in a simulated rig when it was
// changed there.
func followSubject(s take.Subject, before, r rig.Rig) take.Subject {
	if r.Kind != Simulated || (before.Kind == r.Kind && before.Simulated.Subject == r.Simulated.Subject && before.Simulated.Serial == r.Simulated.Serial) {
		return s
	}
	s.Model, s.Serial = modelOf(r.Simulated.Subject), r.Simulated.Serial
	return s
}

// firstSubject is what is measured at a start: what stands in a simulated rig,
// else nothing named.
func firstSubject(r rig.Rig) take.Subject {
	return followSubject(take.Subject{}, rig.Rig{}, r)
}

// Subjects are what can stand in the simulated rig.
func Subjects() []Choice {
	return []Choice{
		{"two-way", "Two-way loudspeaker"}, {"woofer", "Woofer on a baffle"},
		{"tweeter", "Tweeter on a baffle"}, {"headphone", "Headphone on a coupler"},
	}
}

// modelOf names the invented model that a simulated subject stands for, and
// serialOf a unit of it.
func modelOf(subject string) string {
	models := map[string]string{"two-way": "Heron 6", "woofer": "Heron 6 woofer", "tweeter": "Wren tweeter", "headphone": "Lark headphone"}
	return models[subject]
}

func serialOf(subject string) string {
	serials := map[string]string{"two-way": "HR6-01182", "woofer": "H6W-0417", "tweeter": "WRT-2203", "headphone": "LK-0077"}
	return serials[subject]
}

// PutSubject puts another subject into the simulated rig, with a serial of its own.
func (d *Desk) PutSubject(ctx context.Context, subject string) error {
	r := d.State().Rig
	r.Simulated.Subject, r.Simulated.Serial = subject, serialOf(subject)
	switch {
	case subject == "headphone":
		r.Fixture, r.FixtureKind = coupler, rig.EarCoupler
	case r.Fixture == coupler:
		r.Fixture, r.FixtureKind = SimulatedRig().Fixture, SimulatedRig().FixtureKind
	}
	return d.SetRig(ctx, r)
}

// coupler is the place of a headphone.
const coupler = "coupler"

// Places are where the subject of a simulated rig can stand.
func (s State) Places() []Choice {
	if s.Rig.Simulated.Subject == "headphone" {
		return []Choice{{coupler, coupler}}
	}
	return []Choice{{"damped box", "Damped box"}, {"open bench", "Open bench"}, {"room", "Room"}, {"none", "Free air, nothing reflects"}}
}

// stage puts what stands in a simulated rig into its interface. On a sound card
// there is nothing to do.
func (d *Desk) stage(r rig.Rig) error {
	iface, ok := d.parts.Makers[r.Kind].(interface{ Use(rig.Rig) error })
	if !ok {
		return nil
	}
	if err := iface.Use(r); err != nil {
		return fmt.Errorf("this cannot be simulated: %w", err)
	}
	return nil
}

// PutOnChoices are the calibrators that can be put on the microphone of a simulated
// rig; on a sound card there are none to choose.
func (s State) PutOnChoices() []Choice {
	if s.Rig.Kind != Simulated {
		return nil
	}
	return []Choice{{"none", "nothing"}, {"94:1000", "a calibrator of 94 dB at 1 kHz"}, {"94:250", "a calibrator of 94 dB at 250 Hz"},
		{"114:1000", "a calibrator of 114 dB at 1 kHz"}, {"114:250", "a calibrator of 114 dB at 250 Hz"}, {"94:1000:unsteady", "one whose battery is at its end"}}
}

// putOn puts a calibrator on the microphone of a simulated rig, until takeOff is called.
func (d *Desk) putOn(r rig.Rig, calibrator string) (takeOff func(), err error) {
	if r.Kind != Simulated || calibrator == "" || calibrator == "none" {
		return func() {}, nil
	}
	with := r
	with.Simulated.Calibrator = calibrator
	return func() { _ = d.stage(r) }, d.stage(with) // what stood there before can stand there again
}

// AddRig keeps and uses a new rig with a free name; with duplicate it is a copy
// of the rig in use, back at −40 dBFS.
func (d *Desk) AddRig(ctx context.Context, duplicate bool) error {
	s := d.State()
	r := NewRig("New rig")
	if duplicate {
		r = s.Rig
		r.Name += " copy"
		if r.Kind != Simulated {
			r.LevelDBFS = min(newLevelDBFS, r.LimitDBFS)
		}
	}
	r.Name = freeName(r.Name, s.Rigs)
	return d.useNew(ctx, r)
}

func freeName(name string, rigs []rig.Rig) string {
	taken := func(n string) bool {
		return slices.ContainsFunc(rigs, func(r rig.Rig) bool { return r.Name == n })
	}
	if !taken(name) {
		return name
	}
	for i := 2; ; i++ {
		if n := fmt.Sprintf("%s %d", name, i); !taken(n) {
			return n
		}
	}
}

// SetKind changes the kind of the rig in use. The devices of the other kind do
// not fit and are cleared; a sound card starts at −40 dBFS.
func (d *Desk) SetKind(ctx context.Context, kind string) error {
	r := d.State().Rig
	if kind == r.Kind {
		return nil
	}
	r.Kind = kind
	r.OutputDevice, r.InputDevice, r.OutputChannel, r.InputChannel = "", "", 0, 0
	if kind == Simulated {
		r.Fixture = SimulatedRig().Fixture
		r.LevelDBFS, r.LimitDBFS = simulatedDBFS, 0
		if r.Simulated.Subject == "" {
			r.Simulated = SimulatedRig().Simulated
		}
		r = d.withDevices(ctx, r)
	} else {
		r.LevelDBFS, r.LimitDBFS = newLevelDBFS, newLimitDBFS
	}
	return d.SetRig(ctx, r)
}

// withDevices chooses the only devices a simulated rig has.
func (d *Desk) withDevices(ctx context.Context, r rig.Rig) rig.Rig {
	devices, err := d.list(ctx, r.Kind)
	if err != nil {
		return r
	}
	for _, dev := range devices {
		if r.OutputDevice == "" && dev.Outputs > 0 {
			r.OutputDevice = dev.ID
		}
		if r.InputDevice == "" && dev.Inputs > 0 {
			r.InputDevice = dev.ID
		}
	}
	return r
}
