package take

import (
	"errors"
	"testing"

	"stillroom/app/audio/simulated"
	"stillroom/app/model"
)

// A take beyond the limits of its subject is refused before anything is played; one
// within them keeps them.
func TestRecordKeepsTheLimitsOfItsSubject(t *testing.T) {
	sim, r := simulatedRig(t, simulated.Options{Subject: "tweeter", Fixture: "damped box"})
	p := DefaultProgramme(r)
	p.DurationS = 0.5
	subject := Subject{Model: "Wren tweeter", Limits: model.Limits{Model: "Wren tweeter", LowestHz: 800}}
	if one, err := Record(t.Context(), sim, r, p, subject, nil); !errors.Is(err, model.ErrLimit) || one != nil {
		t.Errorf("from 20 Hz: %v", err)
	}
	p.LowHz = 1600
	one, err := Record(t.Context(), sim, r, p, subject, nil)
	if err != nil || one.Subject.Limits.LowestHz != 800 {
		t.Errorf("from 1600 Hz: %v", err)
	}
	subject.Limits.HighestVolts = 2
	if _, err := Record(t.Context(), sim, r, p, subject, nil); !errors.Is(err, model.ErrUnchecked) {
		t.Errorf("2 V on an output that is not calibrated: %v", err)
	}
}
