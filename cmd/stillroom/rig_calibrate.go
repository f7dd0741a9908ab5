package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"stillroom/app/calibrate"
	"stillroom/app/records"
	"stillroom/app/rig"
)

// calibrating is what rig calibrate is told.
type calibrating struct {
	channel            int // from 1; 0: the rig's first microphone
	level, frequency   float64
	length             seconds
	volts              float64
	spl                float64
	sensitivity        float64
	gain, fullScale    float64
	file, name, serial string
	angle              float64
	date               string
	low, high          float64
	keep               bool
	person             string

	typed io.Reader // where a reading is typed
	given func(flag string) bool
}

// procedure is one word after the name of the rig.
type procedure struct {
	name  string
	flags []string // that it takes
	run   func(p *program, ctx context.Context, b calibrate.Bench, c calibrating) (calibrated, error)
}

// calibrated is what a procedure found.
type calibrated struct {
	Rig    *rig.Rig // to be kept; nil: nothing to keep
	Result any      // for --json
	Lines  []string // for people
}

func procedures() []procedure {
	return []procedure{
		{"output", []string{"level", "frequency", "length", "volts"}, (*program).calibrateOutput},
		{"input", []string{"channel", "spl", "frequency", "length"}, (*program).calibrateInput},
		{"sensitivity", []string{"channel", "sensitivity", "gain", "full-scale"}, (*program).calibrateSensitivity},
		{"curve", []string{"channel", "file", "angle", "name", "serial", "date"}, (*program).calibrateCurve},
		{"interface", []string{"channel", "level", "length"}, (*program).calibrateInterface},
		{"fixture", []string{"file", "name"}, (*program).calibrateFixture},
		{"noise", []string{"channel", "length"}, (*program).calibrateNoise},
		{"level", []string{"from", "to", "level", "keep"}, (*program).calibrateLevel},
	}
}

func (p *program) rigCalibrate() *cobra.Command {
	c := calibrating{}
	cmd := &cobra.Command{
		Use:   "calibrate NAME PROCEDURE",
		Short: "Calibrate a rig",
		Long: "Find out what the digits of a rig mean, and keep it with the rig, with its date and who did it:\n\n" +
			"  output       play a tone, type what the voltmeter at the output says: volts at full scale\n" +
			"  input        listen to an acoustic calibrator on the microphone: pascals at full scale\n" +
			"  sensitivity  the same from the microphone's sheet and the preamplifier's gain\n" +
			"  curve        the microphone's response from a text file, for one angle\n" +
			"  interface    a sweep over a wire from the output to an input: the interface's own response\n" +
			"  fixture      a fixture's own response from a text file, to be taken out\n" +
			"  noise        listen to the quiet: its level, its hum (nothing is kept)\n" +
			"  level        short sweeps from quiet to louder: the level to measure at (kept with --keep)\n\n" +
			"What cannot be believed is refused with the reason, and the exit status is 3.\n\n" +
			"Safety: output, interface and level make sound. " + calibrate.OutputCaution + " " + calibrate.LevelCaution + "\n" +
			"For interface: " + calibrate.LoopCaution,
		Example: "  stillroom rig calibrate bench input --spl 94\n  stillroom rig calibrate bench curve --file mic-0deg.txt --name 'small mic' --serial 4711",
		Args:    cobra.ExactArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			c.typed, c.given = cmd.InOrStdin(), cmd.Flags().Changed
			return p.calibrate(cmd, args[0], args[1], c)
		},
	}
	c.add(cmd.Flags())
	return cmd
}

func (c *calibrating) add(flags *pflag.FlagSet) {
	flags.IntVar(&c.channel, "channel", 0, "input channel, from 1; the rig's first microphone where not named")
	flags.Float64Var(&c.level, "level", 0, "output, interface: level of the sound in dBFS; level: where to start")
	flags.Float64Var(&c.frequency, "frequency", 0, "output: of the tone; input: 250 or 1000 Hz, found where not named")
	flags.Var(&c.length, "length", "how long to play or to listen")
	flags.Float64Var(&c.volts, "volts", 0, "output: what the voltmeter said, for a tone that was played before at --level and --frequency")
	flags.Float64Var(&c.spl, "spl", 0, "input: what the calibrator makes in dB, 94 or 114; found by the last calibration where not named")
	flags.Float64Var(&c.sensitivity, "sensitivity", 0, "sensitivity: of the microphone, in mV/Pa")
	flags.Float64Var(&c.gain, "gain", 0, "sensitivity: of the preamplifier, in dB")
	flags.Float64Var(&c.fullScale, "full-scale", 0, "sensitivity: volts rms at the input that give 0 dBFS, at 0 dB gain")
	flags.StringVar(&c.file, "file", "", "curve, fixture: text with frequency, dB and perhaps phase")
	flags.StringVar(&c.name, "name", "", "curve, fixture: of the microphone or the fixture")
	flags.StringVar(&c.serial, "serial", "", "curve: serial number of the microphone")
	flags.Float64Var(&c.angle, "angle", 0, "curve: angle in degrees; alone, it takes another angle into use")
	flags.StringVar(&c.date, "date", "", "curve: when the microphone was calibrated, 2026-03-02; today where not named")
	flags.Float64Var(&c.low, "from", 0, "level: lowest frequency in Hz; a tweeter needs a high one")
	flags.Float64Var(&c.high, "to", 0, "level: highest frequency in Hz")
	flags.BoolVar(&c.keep, "keep", false, "level: keep the level with the rig")
	flags.StringVar(&c.person, "person", "", "who calibrates")
}

// calibrate runs one procedure on one rig, and keeps what it found.
func (p *program) calibrate(cmd *cobra.Command, name, word string, c calibrating) error {
	i := slices.IndexFunc(procedures(), func(x procedure) bool { return x.name == word })
	if i < 0 {
		return usageError("%q is no calibration: there are output, input, sensitivity, curve, interface, fixture, noise and level", word)
	}
	do := procedures()[i]
	if err := c.fits(cmd.LocalNonPersistentFlags(), do); err != nil {
		return err
	}
	return p.withRecords(cmd.Context(), c.person, func(ctx context.Context, store records.Store, person string) error {
		kept, err := records.Rigs(store).Get(ctx, name)
		if err != nil {
			return err
		}
		r := kept.Value
		if c.channel == 0 {
			c.channel = r.InputChannel + 1
		}
		found, err := do.run(p, ctx, calibrate.Bench{Rig: r, Person: person}, c)
		if errors.Is(err, calibrate.ErrRefused) {
			return verdictError("%w", err)
		}
		if err != nil {
			return err
		}
		if found.Rig != nil {
			if err := records.Rigs(store).Put(ctx, *found.Rig); err != nil {
				return err
			}
		}
		return p.tellCalibrated(name, word, found)
	})
}

// fits tells whether the flags that were given are those of the procedure.
func (c calibrating) fits(flags *pflag.FlagSet, do procedure) error {
	var wrong []string
	flags.VisitAll(func(f *pflag.Flag) {
		if f.Changed && f.Name != "person" && !slices.Contains(do.flags, f.Name) {
			wrong = append(wrong, "--"+f.Name)
		}
	})
	if len(wrong) > 0 {
		return usageError("%s does not go with %s, which takes --%s", strings.Join(wrong, ", "), do.name, strings.Join(do.flags, ", --"))
	}
	if c.given("channel") && c.channel < 1 {
		return usageError("--channel %d: channels count from 1", c.channel)
	}
	if c.given("level") && !(c.level < 0) {
		return usageError("--level %g: levels of a calibration are below 0 dBFS, such as -20", c.level)
	}
	return nil
}

// tellCalibrated prints what was found.
func (p *program) tellCalibrated(name, word string, found calibrated) error {
	if p.json {
		return p.printJSON(map[string]any{"rig": name, "procedure": word, "kept": found.Rig != nil, "result": found.Result})
	}
	for _, line := range found.Lines {
		fmt.Fprintln(p.out, line)
	}
	if found.Rig != nil {
		fmt.Fprintf(p.out, "Kept with the rig %q.\n", name)
	}
	return nil
}

// withSound runs work on a bench with the rig's sound interface open.
func (p *program) withSound(b calibrate.Bench, work func(calibrate.Bench) error) (err error) {
	sound, shut, err := p.openRig(b.Rig, "")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, shut()) }()
	b.Interface = sound
	return work(b)
}

// day reads a date; none is the zero time.
func day(text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	at, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return at, usageError("--date %q: give it as 2026-03-02", text)
	}
	return at, nil
}
