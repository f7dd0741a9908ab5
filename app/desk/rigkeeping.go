package desk

import (
	"context"
	"errors"
	"fmt"

	"stillroom/app/records"
	"stillroom/app/rig"
	"stillroom/app/settings"
)

// readRigs reads the rigs and takes up the one used last. Where no rig is kept
// yet, the simulated one is made.
func (d *Desk) readRigs(ctx context.Context) error {
	shelf := records.Rigs(d.parts.Records)
	kept, err := shelf.All(ctx)
	if err != nil {
		return fmt.Errorf("the rigs cannot be read: %w", err)
	}
	if len(kept) == 0 {
		first := records.Versioned[rig.Rig]{Value: d.withDevices(ctx, SimulatedRig())}
		if first, err = shelf.Keep(d.by(ctx), first); err != nil {
			return fmt.Errorf("the first rig cannot be kept: %w", err)
		}
		kept = append(kept, first)
	}
	d.state.Rigs = valuesOf(kept)
	d.state.Rig, d.state.kept = kept[0].Value, kept[0].Version
	last := d.state.Settings.Rig
	for _, r := range kept {
		if r.Value.Name == last {
			d.state.Rig, d.state.kept = r.Value, r.Version
			return nil
		}
	}
	if last != "" {
		d.state.Notice = Notice{Error: true, Text: fmt.Sprintf("The rig %q used last is not kept any more. The rig %q is shown; choose another in the Rig room.", last, d.state.Rig.Name)}
	}
	return nil
}

func valuesOf(kept []records.Versioned[rig.Rig]) []rig.Rig {
	var rigs []rig.Rig
	for _, r := range kept {
		rigs = append(rigs, r.Value)
	}
	return rigs
}

// keepRig writes r in place of the rig in use, as it was read, and remembers it as
// the one used last. Where somebody else has changed that rig since, nothing is kept:
// the rig is taken up as it is now, and the error says who changed it and when.
func (d *Desk) keepRig(ctx context.Context, was State, r rig.Rig) (version int, err error) {
	shelf, old := records.Rigs(d.parts.Records), was.Rig.Name
	one := records.Versioned[rig.Rig]{Value: r, Version: was.kept}
	if r.Name != old {
		if err := d.sameAsRead(ctx, was); err != nil {
			return 0, err
		}
		one.Version = 0
	}
	kept, err := shelf.Keep(d.by(ctx), one)
	switch {
	case errors.Is(err, records.ErrChanged), errors.Is(err, records.ErrNoDocument):
		return 0, d.rigChanged(ctx, r)
	case errors.Is(err, records.ErrExists):
		return 0, fmt.Errorf("another rig is called %q: choose another name", r.Name)
	case err != nil:
		return 0, fmt.Errorf("the rig cannot be kept: %w", err)
	}
	if r.Name != old {
		if err := shelf.Delete(d.by(ctx), old); err != nil && !errors.Is(err, records.ErrNoDocument) {
			return 0, fmt.Errorf("the rig is kept as %q, and still as %q too: %w", r.Name, old, err)
		}
	}
	return kept.Version, d.Choose(func(c *settings.Settings) { c.Rig = r.Name })
}

// sameAsRead fails where the rig in use was changed by somebody else since it was read.
func (d *Desk) sameAsRead(ctx context.Context, was State) error {
	now, err := d.parts.Records.Document(ctx, records.RigKind, was.Rig.Name)
	if errors.Is(err, records.ErrNoDocument) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("the rig cannot be kept: %w", err)
	}
	if now.Version != was.kept {
		return d.rigChanged(ctx, was.Rig)
	}
	return nil
}

// rigChanged takes the rig in use up as somebody else has left it, and says so. A rig
// that was deleted stays in use as it is here; to keep it again makes it anew.
func (d *Desk) rigChanged(ctx context.Context, mine rig.Rig) error {
	name := d.State().Rig.Name
	document, err := d.parts.Records.Document(ctx, records.RigKind, name)
	if errors.Is(err, records.ErrNoDocument) {
		d.change(RigTopic, func(s *State) { s.kept = 0 })
		return fmt.Errorf("the rig %q was deleted on another bench, and yours was not kept: change it once more to keep it again, or choose another", name)
	}
	if err != nil {
		return fmt.Errorf("the rig %q was changed on another bench, and cannot be read: %w", name, err)
	}
	err = fmt.Errorf("the rig %q was changed by %s at %s; yours was not kept, and what you see is the other: look, and change it again",
		name, orDash(document.Who), clock(document.At, d.now()))
	if unread := d.takeUp(ctx, name); unread != nil {
		return fmt.Errorf("%w; it cannot be taken up: %w", err, unread)
	}
	return err
}

// takeUp uses a rig as it is kept.
func (d *Desk) takeUp(ctx context.Context, name string) error {
	kept, err := records.Rigs(d.parts.Records).All(ctx)
	if err != nil {
		return err
	}
	for _, r := range kept {
		if r.Value.Name != name {
			continue
		}
		if err := d.stage(r.Value); err != nil {
			return err
		}
		d.change(RigTopic|SubjectTopic|BenchTopic, func(s *State) {
			s.Bench = fresh(s.Bench, s.Rig, r.Value)
			s.Subject = followSubject(s.Subject, s.Rig, r.Value)
			s.Rig, s.Rigs, s.kept = r.Value, valuesOf(kept), r.Version
			s.Programme.RateHz, s.Programme.LevelDBFS = r.Value.RateHz, r.Value.LevelDBFS
			s.Programme.HighHz = min(s.Programme.HighHz, r.Value.RateHz*0.49)
		})
		d.Rescan(ctx)
		return nil
	}
	return fmt.Errorf("the rig %q is not kept any more: choose another", name)
}

// UseRig takes up another of the kept rigs, as it is kept now.
func (d *Desk) UseRig(ctx context.Context, name string) error {
	d.rigs.Lock()
	defer d.rigs.Unlock()
	return d.useRig(ctx, name)
}

func (d *Desk) useRig(ctx context.Context, name string) error {
	d.sound.cancelNow()
	d.sound.wait()
	if err := d.takeUp(ctx, name); err != nil {
		return d.fail(err)
	}
	return d.Choose(func(c *settings.Settings) { c.Rig = name })
}

// useNew keeps a new rig and uses it.
func (d *Desk) useNew(ctx context.Context, r rig.Rig) error {
	d.rigs.Lock()
	defer d.rigs.Unlock()
	if _, err := records.Rigs(d.parts.Records).Keep(d.by(ctx), records.Versioned[rig.Rig]{Value: r}); err != nil {
		return d.fail(fmt.Errorf("the rig cannot be kept: %w", err))
	}
	return d.useRig(ctx, r.Name)
}
