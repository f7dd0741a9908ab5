package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"stillroom/app/board"
	"stillroom/app/board/curves"
	"stillroom/app/chart"
	"stillroom/app/rig"
	"stillroom/app/take"
)

// changes tells whether a flag changes the board.
func (c comparing) changes() bool {
	return slices.ContainsFunc([]string{"reference", "align", "closeness", "smoothing", "gate", "re", "one-metre", "show", "target", "target-fixture", "group", "average", "sum"}, c.named)
}

// apply writes the flags into a board: those that are named, and all into a new one.
func (c comparing) apply(b *board.Board) error {
	fresh := len(b.Views) == 0 || b.Name == "" || c.board == ""
	var err error
	set := func(flag string, work func() error) {
		if err == nil && (fresh || c.named(flag)) {
			if err = work(); err != nil {
				err = usageError("--%s: %w", flag, err)
			}
		}
	}
	set("align", func() (err error) {
		if b.Align.On = c.align != "off"; b.Align.On {
			b.Align.Band, err = board.ParseBand(c.align)
		} else if b.Align.Band == (board.Band{}) {
			b.Align.Band = board.New("").Align.Band
		}
		return err
	})
	set("closeness", func() (err error) { b.Closeness, err = board.ParseBand(c.closeness); return err })
	set("smoothing", func() (err error) { b.Smoothing, err = board.ParseSmoothing(c.smoothing); return err })
	set("gate", func() (err error) { b.Gate, err = board.ParseGate(c.gate); return err })
	set("show", func() (err error) { b.Views, err = board.ParseViews(c.show); return err })
	set("re", func() (err error) { b.Level, err = c.level(); return err })
	set("group", func() (err error) { b.Group, err = parseGroup(c.group); return err })
	set("target", func() (err error) { b.Target, err = c.readTarget(); return err })
	if len(b.Traces) > 0 {
		set("reference", func() error {
			if c.reference < 1 || c.reference > len(b.Traces) {
				return fmt.Errorf("the board has traces 1 to %d (got %d)", len(b.Traces), c.reference)
			}
			*b = b.Refer(b.Traces[c.reference-1].ID)
			return nil
		})
	}
	if err == nil && c.average != "" && !slices.Contains(board.Means(), board.Mean(c.average)) {
		err = usageError("--average %q: average by power, level or complex", c.average)
	}
	return err
}

// level reads --re and --one-metre.
func (c comparing) level() (board.LevelRule, error) {
	switch {
	case c.re == "kept" && c.metre:
		return board.LevelRule{}, fmt.Errorf("--one-metre goes with a level that --re names")
	case c.re == "kept":
		return board.LevelRule{AsKept: true}, nil
	case c.re == "stimulus":
		return board.LevelRule{Level: take.ReStimulus}, nil
	case c.re != "" && slices.Contains(take.Levels(), take.Level(c.re)):
		return board.LevelRule{Level: take.Level(c.re), OneMetre: c.metre}, nil
	}
	return board.LevelRule{}, fmt.Errorf("levels can be kept, or re stimulus, spl, 2.83V, 1W, dB/V, dB/mW (got %q)", c.re)
}

func parseGroup(text string) (g board.Group, err error) {
	for _, part := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' }) {
		switch strings.TrimSpace(part) {
		case "mean":
			g.Mean = true
		case "extremes":
			g.Extremes = true
		case "deviation":
			g.Deviation = true
		default:
			return g, fmt.Errorf("of a group mean, extremes and deviation can be shown (got %q)", part)
		}
	}
	return g, nil
}

func targetNames() []string {
	var names []string
	for _, t := range board.Published() {
		names = append(names, fmt.Sprintf("%q", t.Name))
	}
	return names
}

// readTarget finds a published target, or reads one from a file.
func (c comparing) readTarget() (*board.Target, error) {
	if c.target == "" {
		return nil, nil
	}
	kind := rig.FixtureKind(c.fixture)
	if kind != "" && !slices.Contains(rig.FixtureKinds(), kind) {
		return nil, fmt.Errorf("--target-fixture %q is no kind of fixture: choose of %v", c.fixture, rig.FixtureKinds())
	}
	for _, t := range board.Published() {
		if strings.EqualFold(t.Name, c.target) {
			return &t, nil
		}
	}
	file, err := os.Open(c.target)
	if err != nil {
		return nil, fmt.Errorf("it is neither a target of this program (%s) nor a file that can be read: %w", strings.Join(targetNames(), ", "), err)
	}
	defer file.Close()
	t, err := board.ReadTarget(filepath.Base(c.target), file)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", c.target, err)
	}
	t.Fixture = kind
	return t, nil
}

// combine adds what is made of the traces on the board.
func (c comparing) combine(b board.Board) (board.Board, error) {
	var ids []string
	var parts []board.Part
	for _, t := range b.Traces {
		ids, parts = append(ids, t.ID), append(parts, board.Part{Trace: t.ID})
	}
	if c.average != "" {
		b, _ = b.Add(c.average+" average", board.Source{Average: &board.Average{Of: ids, By: board.Mean(c.average)}}, chart.Series)
	}
	if c.sum {
		b, _ = b.Add("sum", board.Source{Sum: &board.Sum{Parts: parts}}, chart.Series)
	}
	return b, nil
}

// isFile tells a file from the ID of a take: it is there, or has the ending of one.
func isFile(arg string) bool {
	if _, err := os.Stat(arg); err == nil {
		return true
	}
	return isSound(arg) || strings.ContainsRune(arg, filepath.Separator) || slices.Contains([]string{".txt", ".csv", ".frd", ".cal", ".dat"}, strings.ToLower(filepath.Ext(arg)))
}

func isSound(path string) bool {
	return slices.Contains([]string{".wav", ".wave", ".flac", ".aif", ".aiff", ".aifc"}, strings.ToLower(filepath.Ext(path)))
}

func anyTake(args []string) bool {
	return slices.ContainsFunc(args, func(a string) bool { return !isFile(a) })
}

// addTraces reads what was named and adds it to a board. A take or file that cannot be
// read ends the work.
func (p *program) addTraces(ctx context.Context, b board.Board, args []string, load curves.Loader) (board.Board, error) {
	for _, arg := range args {
		name, from, err := p.traceOf(ctx, arg, load)
		if err != nil {
			return b, fmt.Errorf("%s: %w", arg, err)
		}
		b, _ = b.Add(name, from, chart.Series)
	}
	return b, nil
}

func (p *program) traceOf(ctx context.Context, arg string, load curves.Loader) (name string, from board.Source, err error) {
	base := strings.TrimSuffix(filepath.Base(arg), filepath.Ext(arg))
	switch {
	case !isFile(arg):
		t, err := load(ctx, arg)
		if err != nil {
			return "", from, err
		}
		return board.NameOf(t), board.Source{Take: &board.TakeSource{ID: arg}}, nil
	case isSound(arg):
		sound, err := p.readSound(arg)
		if err != nil {
			return "", from, err
		}
		if len(sound.Channels) != 1 {
			return "", from, fmt.Errorf("it has %d channels: give an impulse response of one channel", len(sound.Channels))
		}
		return base, board.Source{Impulse: &board.ImpulseSource{File: filepath.Base(arg), RateHz: sound.RateHz, Samples: sound.Channels[0]}}, nil
	}
	curve, err := readCurve(arg)
	return base, board.Source{Curve: &board.CurveSource{File: filepath.Base(arg), Unit: "dB", Curve: curve}}, err
}
