package desk

import (
	"errors"
	"fmt"
	"math"

	"stillroom/app/rig"
	"stillroom/dsp/level"
)

// silent stands for the level of a procedure that plays nothing, in dBFS.
const silent = -1000.0

// ErrAsk says that a question stands before the sound; see State.Question.
var ErrAsk = errors.New("nothing was played: a headphone belongs on this fixture, and it was not confirmed in this session that it is on no head")

// consent is what was confirmed before sound on a fixture that a headphone sits on.
type consent struct {
	rig       string
	kind      rig.FixtureKind
	levelDBFS float64
}

// Question is what must be answered before sound of a level is played: on a fixture
// that wears a headphone, once in a session, and again before anything louder. needed
// is false where there is nothing to ask.
func (s State) Question(levelDBFS float64) (text string, needed bool) {
	if !s.Rig.FixtureKind.Worn() || levelDBFS <= silent {
		return "", false
	}
	c := s.Consent
	if c.rig == s.Rig.Name && c.kind == s.Rig.FixtureKind && levelDBFS <= c.levelDBFS+1e-9 {
		return "", false
	}
	loud := quantity(levelDBFS, 1, "dBFS")
	if v := s.driveVolts(levelDBFS); !math.IsNaN(v) {
		loud += " (" + volts(v) + ")"
	}
	return fmt.Sprintf("Sound of up to %s follows on %q. A sweep through a headphone can hurt: it must sit on the %s and on no head, and nobody may put it on before the sound has ended. Is the headphone on the fixture, and off every head?",
		loud, s.Rig.Name, s.Rig.FixtureKind), true
}

// Confirm answers the question for this session, up to a level.
func (d *Desk) Confirm(levelDBFS float64) {
	d.change(SubjectTopic, func(s *State) { s.Consent = consent{s.Rig.Name, s.Rig.FixtureKind, levelDBFS} })
}

// mayPlay refuses sound as long as its question is not answered.
func (d *Desk) mayPlay(levelDBFS float64) error {
	if _, needed := d.State().Question(levelDBFS); needed {
		return ErrAsk
	}
	return nil
}

// driveVolts is the rms voltage of a sine of a level at the output; NaN where the
// output is not calibrated.
func (s State) driveVolts(levelDBFS float64) float64 {
	return s.Rig.Chain(s.Rig.InputChannel).VoltsAtFS * level.Ratio(levelDBFS)
}

// SweepLevel is the level of the next take, in dBFS.
func (s State) SweepLevel() float64 { return s.Programme.LevelDBFS }

// CheckLevelTop is the highest level that a procedure of the bench may reach.
func (s State) CheckLevelTop() float64 {
	highest, _ := s.Rig.HighestDBFS()
	return highest
}

// WornCaution stands on the bench of a rig whose fixture wears a headphone.
const WornCaution = "This fixture wears a headphone. Never measure it on a head: a sweep can hurt ears at once. Left and right are measured one after the other, with the headphone seated anew."
