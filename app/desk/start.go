package desk

import (
	"context"
	"fmt"

	"stillroom/app/records"
	"stillroom/app/settings"
	"stillroom/app/take"
)

// ExampleNote marks the take of a first start.
const ExampleNote = "Example: measured on the simulated rig at the first start. No hardware was used."

// FirstStart measures one example on the simulated rig and keeps it, when nothing
// is kept and the rig is simulated. Otherwise it does nothing.
func (d *Desk) FirstStart(ctx context.Context) error {
	s := d.State()
	n, err := d.parts.Records.Count(ctx, records.Query{}, 1)
	if err != nil || n.Takes > 0 || s.Rig.Kind != Simulated || s.Settings.Rig != "" || d.recordsAway() {
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
