package desk

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"stillroom/app/calibrate"
	"stillroom/app/rig"
)

// FixtureForm is a fixture's own response to be read, as text.
type FixtureForm struct{ Path, Name string }

// fixtureView is the card of the fixture's own response.
func (s State) fixtureView(now time.Time) CardView {
	v := CardView{Card: FixtureCard, Title: "Fixture response", Text: "A file of what the fixture itself does to the sound",
		Advice: "Choose a file of frequency, level and, where it has one, phase: what this fixture adds to a flat source, as its maker or your own reference tells. It is taken out of every take, at its full level. Without one nothing is taken out."}
	kind := s.Rig.FixtureKind
	c := s.Rig.Calibrations.Fixture
	if c != nil {
		f := c.Curve.FrequencyHz
		v.Text = c.Name + ", " + c.File + ", " + band(f[0], f[len(f)-1])
		v.Result = span(c.Curve)
		v.stand(s.line("fixture", 0, now), c.Stamp)
	} else {
		v.stand(rig.Line{State: rig.Missing}, rig.Stamp{})
	}
	if !kind.HasResponse() {
		v.Advice = sentence(fmt.Errorf("%s", calibrate.NoFixtureResponse(kind)))
		v.Text = "Not for this kind of fixture: " + string(kind)
		v.Age = "not used"
		if c != nil {
			v.Age = "one is kept, and not used here"
		}
	}
	return v
}

// span is how much is taken out, lowest to highest: "−1.2 to +3.4 dB".
func span(c rig.Curve) string {
	low, high := c.MagnitudeDB[0], c.MagnitudeDB[0]
	for _, v := range c.MagnitudeDB {
		low, high = min(low, v), max(high, v)
	}
	return plus(low) + " to " + plus(high) + " dB"
}

func plus(db float64) string {
	if text := number(db, 1); db < 0 || text == number(0, 1) {
		return text
	}
	return "+" + number(db, 1)
}

// ReadFixtureFile reads a fixture's own response. It waits to be kept.
func (d *Desk) ReadFixtureFile(f FixtureForm) ([]Field, error) {
	path := strings.Trim(strings.TrimSpace(f.Path), `"'`)
	if path == "" {
		return []Field{{"File", "choose a file, or paste its path"}}, nil
	}
	d.DropFound()
	curve, err := readCurve(path)
	if err != nil {
		return []Field{{"File", sentence(err)}}, nil
	}
	s := d.State()
	name := strings.TrimSpace(f.Name)
	if name == "" {
		name = s.Rig.Fixture
	}
	r, err := d.benchOf(nil, s.Rig).Fixture(name, path, curve)
	return nil, d.told(FixtureCard, fixtureFound(r, path), err)
}

func fixtureFound(r rig.Rig, path string) *Found {
	c := r.Calibrations.Fixture
	if c == nil {
		return nil
	}
	f := c.Curve.FrequencyHz
	found := &Found{Card: FixtureCard, Result: span(c.Curve), Curve: &c.Curve,
		Rows: []Row{{"Fixture", orDash(c.Name)}, {"File", filepath.Base(path)}, {"Points", fmt.Sprint(len(f))}, {"Band", band(f[0], f[len(f)-1])}, {"Taken out", span(c.Curve)}},
		keep: func(s *State) { s.Rig = s.Rig.WithFixture(c) }}
	if len(c.Curve.PhaseDeg) > 0 {
		found.Rows = append(found.Rows, Row{"Phase", "known"})
	}
	if c.Curve.Sensitivity != nil {
		found.Remark = "The file states a sensitivity, as a microphone's does: is it the fixture's file? The sensitivity is not used."
	}
	return found
}

// RemoveFixture takes the fixture's response out of the rig.
func (d *Desk) RemoveFixture(ctx context.Context) error {
	d.DropFound()
	return d.SetRig(ctx, d.State().Rig.WithFixture(nil))
}
