package desk

import (
	"context"
	"errors"
	"fmt"

	"stillroom/app/records"
	"stillroom/app/rig"
	"stillroom/app/settings"
	"stillroom/app/take"
)

// ExampleNote marks the take of a first start.
const ExampleNote = "Example: measured on the simulated rig at the first start. No hardware was used."

// readRigs reads the rigs and takes up the one used last. Where no rig is kept
// yet, the simulated one is made.
func (d *Desk) readRigs(ctx context.Context) error {
	rigs, err := records.Rigs(d.parts.Records).Values(ctx)
	if err != nil {
		return fmt.Errorf("the rigs cannot be read: %w", err)
	}
	if len(rigs) == 0 {
		r := d.withDevices(ctx, SimulatedRig())
		if err := records.Rigs(d.parts.Records).Put(d.by(ctx), r); err != nil {
			return fmt.Errorf("the first rig cannot be kept: %w", err)
		}
		rigs = []rig.Rig{r}
	}
	d.state.Rigs, d.state.Rig = rigs, rigs[0]
	last := d.state.Settings.Rig
	for _, r := range rigs {
		if r.Name == last {
			d.state.Rig = r
			return nil
		}
	}
	if last != "" {
		d.state.Notice = Notice{Error: true, Text: fmt.Sprintf("The rig %q used last is not kept any more. The rig %q is shown; choose another in the Rig room.", last, rigs[0].Name)}
	}
	return nil
}

// keepRig writes r, in place of before where only its name changed, and remembers
// it as the one used last.
func (d *Desk) keepRig(ctx context.Context, before, r rig.Rig) error {
	for _, other := range d.State().Rigs {
		if other.Name == r.Name && r.Name != before.Name {
			return fmt.Errorf("another rig is called %q: choose another name", r.Name)
		}
	}
	if err := records.Rigs(d.parts.Records).Put(d.by(ctx), r); err != nil {
		return err
	}
	if before.Name != r.Name {
		if err := records.Rigs(d.parts.Records).Delete(d.by(ctx), before.Name); err != nil && !errors.Is(err, records.ErrNoDocument) {
			return err
		}
	}
	return d.Choose(func(c *settings.Settings) { c.Rig = r.Name })
}

// UseRig takes up another of the kept rigs.
func (d *Desk) UseRig(ctx context.Context, name string) error {
	for _, r := range d.State().Rigs {
		if r.Name == name {
			return d.useNew(ctx, r)
		}
	}
	return d.fail(fmt.Errorf("the rig %q is not kept any more: choose another", name))
}

// useNew keeps and uses r beside the rig used so far.
func (d *Desk) useNew(ctx context.Context, r rig.Rig) error {
	if err := records.Rigs(d.parts.Records).Put(d.by(ctx), r); err != nil {
		return d.fail(fmt.Errorf("the rig cannot be kept: %w", err))
	}
	d.sound.cancelNow()
	d.sound.wait()
	before := d.State().Rig
	d.change(RigTopic|BenchTopic, func(s *State) {
		s.Bench = fresh(s.Bench, before, r)
		s.Rig = r
	})
	if err := d.SetRig(ctx, r); err != nil {
		return err
	}
	d.change(SubjectTopic, func(s *State) { s.Subject = followSubject(s.Subject, before, r) })
	return nil
}

// FirstStart measures one example on the simulated rig and keeps it, when nothing
// is kept and the rig is simulated. Otherwise it does nothing.
func (d *Desk) FirstStart(ctx context.Context) error {
	s := d.State()
	n, err := d.parts.Records.Count(ctx, records.Query{}, 1)
	if err != nil || n.Takes > 0 || s.Rig.Kind != Simulated || s.Settings.Rig != "" {
		return err
	}
	if err := d.Choose(func(c *settings.Settings) { c.Rig = s.Rig.Name }); err != nil {
		return err
	}
	d.change(SubjectTopic, func(s *State) { s.Subject.Note = ExampleNote })
	err = d.Measure(ctx)
	d.change(SubjectTopic, func(s *State) { s.Subject.Note = "" })
	if err != nil {
		return err
	}
	if err := d.Keep(ctx); err != nil {
		return err
	}
	d.say("This is an example, measured just now on the simulated rig: no hardware was used. To measure your own, choose your sound card in the Rig room.")
	return nil
}

// Wait returns when no analysis is under way: for scripts and tests.
func (d *Desk) Wait() { d.analysed.Wait() }

// TakeLine tells what the take in hand is: not kept, kept, or an example.
func (s State) TakeLine() string {
	switch {
	case s.Take == nil:
		return "no take in hand"
	case s.Take.Subject.Note == ExampleNote:
		return "example from the simulated rig, kept"
	case s.Kept:
		return "kept " + moment(s.Take.At)
	}
	return "measured " + s.Take.At.Local().Format("15:04:05") + ", not kept yet"
}

// SameGate tells whether g is the gate of the analysis in hand.
func (s State) SameGate(g take.Gate) bool {
	return s.Analysis != nil && s.Analysis.Settings.Gate == g
}

// Choose changes what is remembered between two starts, and writes it at once.
func (d *Desk) Choose(alter func(*settings.Settings)) error {
	var chosen settings.Settings
	d.change(ChoiceTopic, func(s *State) {
		alter(&s.Settings)
		chosen = s.Settings
	})
	if err := d.parts.Save(chosen); err != nil {
		return d.fail(fmt.Errorf("the choice holds until the program ends, but is not kept: %w", err))
	}
	return nil
}

// ProgressLine tells how far a measurement is: "sweep 1 of 2, 45 %".
func (s State) ProgressLine() string {
	if s.Progress.Stage == "" {
		return "starting"
	}
	return s.Progress.Stage + ", " + number(s.Progress.Fraction*100, 0) + " %"
}

// Repeats is how often the sweep of the take in hand was played.
func (s State) Repeats() int {
	if s.Take == nil {
		return 0
	}
	return s.Take.Programme.Repeats
}

// KeepText and DiscardText name the two keys of the take in hand.
func (s State) KeepText() string {
	switch {
	case s.Kept:
		return "Kept"
	case s.Series.On():
		return "Keep series"
	case s.Void():
		return "Keep, though void …"
	}
	return "Keep take"
}

// DiscardText is "Put aside" for a kept take, which stays in the records.
func (s State) DiscardText() string {
	if s.Kept {
		return "Put aside"
	}
	return "Discard"
}
