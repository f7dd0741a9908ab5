package comparing

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"stillroom/app/board"
	"stillroom/app/chart"
	"stillroom/app/desk"
	"stillroom/app/rig"
	"stillroom/app/soundfile"
)

// home puts the home folder in place of a leading ~.
func home(path string) string {
	path = strings.TrimSpace(path)
	if rest, ok := strings.CutPrefix(path, "~/"); ok {
		if folder, err := os.UserHomeDir(); err == nil {
			return filepath.Join(folder, rest)
		}
	}
	return path
}

// isSound tells the name of a sound file.
func isSound(path string) bool {
	return slices.Contains([]string{".wav", ".wave", ".flac", ".aif", ".aiff", ".aifc"}, strings.ToLower(filepath.Ext(path)))
}

// AddFile adds a curve (a text of frequency, dB and perhaps phase) or an impulse
// response (a sound file of one channel) from a file; it stays inside the board. Where
// the file cannot be used nothing is changed and the line is returned.
func (t *Table) AddFile(path string) []desk.Field {
	path = home(path)
	from, warnings, err := sourceOf(path)
	if err != nil {
		return []desk.Field{{Name: "File", Message: err.Error()}}
	}
	name := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
	t.step("adding "+name, func(b board.Board) board.Board { b, _ = b.Add(name, from, chart.Series); return b })
	t.choosePast()
	t.desk.Tell(strings.Join(append([]string{fmt.Sprintf("Laid %s on the board.", name)}, warnings...), " "))
	return nil
}

// sourceOf reads a file.
func sourceOf(path string) (from board.Source, warnings []string, err error) {
	if path == "" {
		return from, nil, fmt.Errorf("type the path of a file, or choose one")
	}
	if !isSound(path) {
		curve, err := curveOf(path)
		return board.Source{Curve: &board.CurveSource{File: filepath.Base(path), Unit: "dB", Curve: curve}}, nil, err
	}
	sound, err := soundfile.Read(path)
	if err != nil {
		return from, nil, err
	}
	if len(sound.Channels) != 1 {
		return from, nil, fmt.Errorf("it has %d channels: give an impulse response of one channel", len(sound.Channels))
	}
	for _, w := range sound.Warnings {
		warnings = append(warnings, fmt.Sprint(w))
	}
	return board.Source{Impulse: &board.ImpulseSource{File: filepath.Base(path), RateHz: sound.RateHz, Samples: sound.Channels[0]}}, warnings, nil
}

func curveOf(path string) (rig.Curve, error) {
	file, err := os.Open(path)
	if err != nil {
		return rig.Curve{}, fmt.Errorf("the file cannot be read: %w", err)
	}
	defer file.Close()
	return rig.ReadCurve(file)
}

// TargetForm is the target and what is shown of all traces together.
type TargetForm struct {
	Target                    string // of TargetChoices
	File, Fixture             string // of a target from a file
	Absolute                  bool
	Mean, Extremes, Deviation bool
}

// The targets that are no published one.
const (
	noTarget    = "none"
	sameTarget  = "same"
	targetFile  = "file"
	anyFixture  = "any"
	publishedAs = "published "
)

// TargetChoices are the targets that can be chosen.
func (s State) TargetChoices() []desk.Choice {
	list := []desk.Choice{{ID: noTarget, Label: "no target"}}
	if x := s.Board.Target; x != nil {
		list = append(list, desk.Choice{ID: sameTarget, Label: "as it is: " + x.Name})
	}
	for _, x := range board.Published() {
		list = append(list, desk.Choice{ID: publishedAs + x.Name, Label: x.Name})
	}
	return append(list, desk.Choice{ID: targetFile, Label: "from a file"})
}

// FixtureChoices are the fixtures that a target from a file may be for.
func FixtureChoices() []desk.Choice {
	list := []desk.Choice{{ID: anyFixture, Label: "for any fixture"}}
	for _, k := range rig.FixtureKinds() {
		list = append(list, desk.Choice{ID: string(k), Label: "for the fixture: " + string(k)})
	}
	return list
}

// TargetForm is the form filled in.
func (s State) TargetForm() TargetForm {
	g := s.Board.Group
	f := TargetForm{Target: noTarget, Fixture: anyFixture, Mean: g.Mean, Extremes: g.Extremes, Deviation: g.Deviation}
	if x := s.Board.Target; x != nil {
		f.Target, f.Absolute = sameTarget, x.Absolute
	}
	return f
}

// TargetText names the target with its source; empty where there is none.
func (s State) TargetText() string {
	if x := s.Board.Target; x != nil {
		return x.Name + ": " + x.Source
	}
	return ""
}

// SetTarget uses a form. Where its file cannot be used nothing is changed and the line
// is returned.
func (t *Table) SetTarget(f TargetForm) []desk.Field {
	target, err := targetOf(f, t.State().Board.Target)
	if err != nil {
		return []desk.Field{{Name: "File", Message: err.Error()}}
	}
	t.step("target and group", func(b board.Board) board.Board {
		b.Target, b.Group = target, board.Group{Mean: f.Mean, Extremes: f.Extremes, Deviation: f.Deviation}
		return b
	})
	return nil
}

func targetOf(f TargetForm, was *board.Target) (*board.Target, error) {
	var out board.Target
	switch name, published := strings.CutPrefix(f.Target, publishedAs); {
	case f.Target == noTarget:
		return nil, nil
	case f.Target == sameTarget && was != nil:
		out = *was
	case f.Target == targetFile:
		file, err := os.Open(home(f.File))
		if err != nil {
			return nil, fmt.Errorf("the file cannot be read: %w", err)
		}
		defer file.Close()
		read, err := board.ReadTarget(filepath.Base(f.File), file)
		if err != nil {
			return nil, err
		}
		out = *read
		out.Fixture = rig.FixtureKind(strings.TrimSuffix(f.Fixture, anyFixture))
	case published:
		i := slices.IndexFunc(board.Published(), func(x board.Target) bool { return x.Name == name })
		if i < 0 {
			return nil, fmt.Errorf("there is no target %q: choose another", name)
		}
		out = board.Published()[i]
	}
	out.Absolute = f.Absolute
	return &out, nil
}
