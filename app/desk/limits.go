package desk

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"stillroom/app/audio"
	"stillroom/app/model"
	"stillroom/app/records"
	"stillroom/app/rig"
	"stillroom/app/take"
	"stillroom/dsp/excitation"
)

// accepted is what a person accepted in this session: that the limit in volts of a
// model cannot be checked on a rig.
type accepted struct{ model, rig string }

// recordWithin is the recorder of the parts, with the limits of the subject's model.
// All takes of the desk go this way.
func (d *Desk) recordWithin(record recordFunc) recordFunc {
	return func(ctx context.Context, iface audio.Interface, r rig.Rig, p excitation.Programme, s take.Subject, progress func(take.Progress)) (*take.Take, error) {
		limits, err := d.limitsOf(ctx, s.Model, r)
		if err != nil {
			return nil, err
		}
		s.Limits = limits
		return record(ctx, iface, r, p, s, progress)
	}
}

type recordFunc = func(context.Context, audio.Interface, rig.Rig, excitation.Programme, take.Subject, func(take.Progress)) (*take.Take, error)

// model is what is kept of a model; of what has no name, what was told in this session.
func (d *Desk) model(ctx context.Context, name string) (records.Versioned[model.Model], error) {
	if name == "" {
		d.mu.Lock()
		defer d.mu.Unlock()
		return records.Versioned[model.Model]{Value: d.unnamed}, nil
	}
	kept, err := records.Models(d.parts.Records).Get(ctx, name)
	if errors.Is(err, records.ErrNoDocument) {
		return records.Versioned[model.Model]{Value: model.Model{Name: name}}, nil
	}
	if err != nil {
		return kept, fmt.Errorf("the limits of %q cannot be read, and nothing is played without them: %w", name, err)
	}
	return kept, nil
}

// limitsOf are the limits of a model on a rig, with what was accepted of them.
func (d *Desk) limitsOf(ctx context.Context, name string, r rig.Rig) (model.Limits, error) {
	m, err := d.model(ctx, name)
	limits := m.Value.Limits()
	limits.Unchecked = !limits.None() && d.State().Accepted == accepted{name, r.Name}
	if limits.None() {
		limits = model.Limits{}
	}
	return limits, err
}

// LookUpModel brings State.Model up to date with the model that is measured.
func (d *Desk) LookUpModel(ctx context.Context) error {
	m, err := d.model(ctx, d.State().Subject.Model)
	if err != nil {
		return d.fail(err)
	}
	d.change(SubjectTopic, func(s *State) { s.Model, s.lookedUp = m, true })
	return nil
}

// ModelStale tells whether LookUpModel is due, since another model is measured.
func (s State) ModelStale() bool { return !s.lookedUp || s.Model.Value.Name != s.Subject.Model }

// LimitsForm is what is known of a model, as text.
type LimitsForm struct {
	LowestHz, HighestVolts, ImpedanceOhm string // empty: not limited, not known
	Unchecked                            string // an ID of UncheckedChoices
}

// LimitsForm is the form filled in for the model that is measured.
func (s State) LimitsForm() LimitsForm {
	m := s.Model.Value
	f := LimitsForm{known(m.LowestHz), known(m.HighestVolts), known(m.RatedImpedanceOhm), "refuse"}
	if s.Accepted == (accepted{m.Name, s.Rig.Name}) {
		f.Unchecked = "play"
	}
	return f
}

// UncheckedChoices are what to do where volts are limited and the output of the rig is
// not calibrated.
func UncheckedChoices() []Choice {
	return []Choice{{"refuse", "play nothing"}, {"play", "play: I watch the level myself, until the program ends"}}
}

// SetLimits uses what was typed of the model that is measured, and keeps it. Where a
// line cannot be used nothing is changed and the lines are returned.
func (d *Desk) SetLimits(ctx context.Context, f LimitsForm) ([]Field, error) {
	s := d.State()
	if s.ModelStale() {
		return nil, d.fail(errors.New("another model is measured by now: open its limits again"))
	}
	m, wrong := f.read(s.Model.Value)
	if len(wrong) > 0 {
		return wrong, nil
	}
	kept, err := d.keepModel(ctx, records.Versioned[model.Model]{Value: m, Version: s.Model.Version})
	if err != nil {
		return nil, d.fail(err)
	}
	d.change(SubjectTopic, func(st *State) {
		st.Model, st.Accepted = kept, accepted{}
		if f.Unchecked == "play" {
			st.Accepted = accepted{m.Name, st.Rig.Name}
		}
	})
	return nil, nil
}

// CheckLimits returns the lines of a form that cannot be used.
func (d *Desk) CheckLimits(f LimitsForm) []Field {
	_, wrong := f.read(d.State().Model.Value)
	return wrong
}

// read reads a form into a copy of m.
func (f LimitsForm) read(m model.Model) (model.Model, []Field) {
	var in reader
	m.LowestHz = in.optional("Lowest frequency", f.LowestHz, 0, 20000, "Hz")
	m.HighestVolts = in.optional("Highest voltage", f.HighestVolts, 0, 1000, "V")
	m.RatedImpedanceOhm = in.optional("Impedance", f.ImpedanceOhm, 0, 10000, "Ω")
	return m, in.wrong
}

// keepModel keeps a model, unless somebody else has changed it since it was looked up;
// one without a name until the program ends.
func (d *Desk) keepModel(ctx context.Context, m records.Versioned[model.Model]) (records.Versioned[model.Model], error) {
	if m.Value.Name == "" {
		d.mu.Lock()
		defer d.mu.Unlock()
		d.unnamed = m.Value
		return m, nil
	}
	kept, err := records.Models(d.parts.Records).Keep(d.by(ctx), m)
	if errors.Is(err, records.ErrChanged) || errors.Is(err, records.ErrExists) {
		return m, errors.Join(fmt.Errorf("the limits of %q are not kept: somebody else has changed them meanwhile: open them again, and look at what is there now", m.Value.Name), d.LookUpModel(ctx))
	}
	if err != nil {
		return m, fmt.Errorf("the limits of %q are not kept: %w", m.Value.Name, err)
	}
	return kept, nil
}

// Limited tells whether what is measured has drive limits.
func (s State) Limited() bool { return !s.ModelStale() && !s.Model.Value.Limits().None() }

// ConnectedChoices are what can hang on the output while its voltage is read.
func ConnectedChoices() []Choice {
	return []Choice{{"unit", "the unit too: its limits hold"}, {"alone", "only the voltmeter"}}
}

// LimitsOf names the model that is measured.
func (s State) LimitsOf() string {
	if s.Subject.Model == "" {
		return "what is measured"
	}
	return s.Subject.Model
}

// LimitsLine tells the limits of the model that is measured: "Wren tweeter: from 800 Hz
// up, 4 V at most".
func (s State) LimitsLine() string {
	who := s.Subject.Model
	if who == "" {
		who = "What is measured"
	}
	if s.ModelStale() {
		return who
	}
	var parts []string
	if s.Model.Value.LowestHz > 0 {
		parts = append(parts, "from "+round(s.Model.Value.LowestHz)+" up")
	}
	if s.Model.Value.HighestVolts > 0 {
		parts = append(parts, plain(s.Model.Value.HighestVolts)+" V at most")
	}
	if len(parts) == 0 {
		return who + ": no drive limits"
	}
	return who + ": " + strings.Join(parts, ", ")
}

// LimitsAdvice stands over the limits of a model.
const LimitsAdvice = "A sweep that would go lower or higher than this is refused, not turned down. A sweep is heard from an octave below its band. A tweeter needs a lowest frequency."
