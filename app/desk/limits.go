package desk

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"stillroom/app/audio"
	"stillroom/app/model"
	"stillroom/app/rig"
	"stillroom/app/take"
	"stillroom/dsp/excitation"
)

// Models keeps what is known of models.
type Models interface {
	// Model returns a model by its name. known is false where nothing is kept of it.
	Model(ctx context.Context, name string) (m model.Model, known bool, err error)

	// KeepModel keeps a model under its name, in place of what was known of it.
	KeepModel(ctx context.Context, m model.Model) error
}

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

// model is what is known of a model: what is kept, else what was told in this session.
func (d *Desk) model(ctx context.Context, name string) (model.Model, error) {
	if d.parts.Models != nil && name != "" {
		m, known, err := d.parts.Models.Model(ctx, name)
		if err != nil {
			return m, fmt.Errorf("nothing was played, since the limits of %q cannot be read: %w", name, err)
		}
		if known {
			return m, nil
		}
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if m, known := d.models[name]; known {
		return m, nil
	}
	return model.Model{Name: name}, nil
}

// limitsOf are the limits of a model on a rig, with what was accepted of them.
func (d *Desk) limitsOf(ctx context.Context, name string, r rig.Rig) (model.Limits, error) {
	m, err := d.model(ctx, name)
	limits := m.Limits()
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
	d.change(SubjectTopic, func(s *State) { s.Model, s.ModelKnown = m, true })
	return nil
}

// ModelStale tells whether LookUpModel is due, since another model is measured.
func (s State) ModelStale() bool { return !s.ModelKnown || s.Model.Name != s.Subject.Model }

// LimitsForm is what is known of a model, as text.
type LimitsForm struct {
	LowestHz, HighestVolts, ImpedanceOhm string // empty: not limited, not known
	Unchecked                            string // an ID of UncheckedChoices
}

// LimitsForm is the form filled in for the model that is measured.
func (s State) LimitsForm() LimitsForm {
	f := LimitsForm{known(s.Model.LowestHz), known(s.Model.HighestVolts), known(s.Model.RatedImpedanceOhm), "refuse"}
	if s.Accepted == (accepted{s.Model.Name, s.Rig.Name}) {
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
	m, wrong := f.read(s.Model)
	if len(wrong) > 0 {
		return wrong, nil
	}
	if err := d.keepModel(ctx, m); err != nil {
		return nil, d.fail(err)
	}
	d.change(SubjectTopic, func(st *State) {
		st.Model, st.Accepted = m, accepted{}
		if f.Unchecked == "play" {
			st.Accepted = accepted{m.Name, st.Rig.Name}
		}
	})
	return nil, nil
}

// CheckLimits returns the lines of a form that cannot be used.
func (d *Desk) CheckLimits(f LimitsForm) []Field {
	_, wrong := f.read(d.State().Model)
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

// keepModel keeps a model; without a name, or without a place to keep it in, until the
// program ends.
func (d *Desk) keepModel(ctx context.Context, m model.Model) error {
	d.mu.Lock()
	if d.models == nil {
		d.models = map[string]model.Model{}
	}
	d.models[m.Name] = m
	d.mu.Unlock()
	if d.parts.Models == nil || m.Name == "" {
		return nil
	}
	if err := d.parts.Models.KeepModel(d.by(ctx), m); err != nil {
		return fmt.Errorf("the limits of %q hold until the program ends, but are not kept: %w", m.Name, err)
	}
	return nil
}

// Limited tells whether what is measured has drive limits.
func (s State) Limited() bool { return !s.ModelStale() && !s.Model.Limits().None() }

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
	if s.Model.LowestHz > 0 {
		parts = append(parts, "from "+round(s.Model.LowestHz)+" up")
	}
	if s.Model.HighestVolts > 0 {
		parts = append(parts, plain(s.Model.HighestVolts)+" V at most")
	}
	if len(parts) == 0 {
		return who + ": no drive limits"
	}
	return who + ": " + strings.Join(parts, ", ")
}

// LimitsAdvice stands over the limits of a model.
const LimitsAdvice = "A sweep that would go lower or higher than this is refused, not turned down. A sweep is heard from an octave below its band. A tweeter needs a lowest frequency."
