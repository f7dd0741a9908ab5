package main

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"stillroom/app/audio/simulated"
	"stillroom/app/board"
	"stillroom/app/records"
	"stillroom/app/staircase"
	"stillroom/app/take"
)

// climbing is what staircase is told on the command line.
type climbing struct {
	measuring
	fromDBFS, toDBFS, stepDB float64
	rest                     seconds
	stopTHD, stopCompression string
	stopBand, band           string
	below                    string
	gate                     string
	smoothing                int
	plot                     string
}

// staircase is the command that plays a sweep at rising levels.
func (p *program) staircase() *cobra.Command {
	var c climbing
	cmd := &cobra.Command{
		Use:   "staircase",
		Short: "Measure at rising levels until distortion, compression or a limit says stop",
		Long: "Play the same sweep at rising levels and tell level, distortion and compression of each step, and how loud each octave gets\n" +
			"below a chosen distortion. It stops after the step that passes a stop, and below what the rig or the model may get.\n" +
			staircase.Caution,
		Example: "  stillroom staircase --rig \"bench box\" --model \"Heron 6 woofer\" --from -40 --to -10 --step 3 --stop-thd 3% --stop-compression 1dB\n" +
			"  stillroom staircase --simulate woofer --from -40 --to -4 --step 6 --json --plot steps.pdf",
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return p.climb(cmd, c) },
	}
	flags := cmd.Flags()
	flags.StringVar(&c.rig, "rig", "", "name of a rig that was set up before; the simulated one where not named")
	flags.StringVar(&c.simulate, "simulate", "", "measure on the simulated rig: "+strings.Join(simulated.Subjects()[:4], ", "))
	flags.StringVar(&c.subject.Model, "model", "", "model of the unit; its drive limits are kept")
	flags.StringVar(&c.subject.Serial, "serial", "", "serial number of the unit")
	flags.StringVar(&c.person, "person", "", "who measures")
	flags.Float64Var(&c.fromDBFS, "from", -40, "level of the first step in dBFS")
	flags.Float64Var(&c.toDBFS, "to", -20, "level of the last step in dBFS")
	flags.Float64Var(&c.stepDB, "step", 3, "height of a step in dB, at most 6")
	flags.Var(&c.rest, "rest", "rest after each step")
	flags.StringVar(&c.stopTHD, "stop-thd", "", "stop where the total distortion passes this, such as 3%")
	flags.StringVar(&c.stopCompression, "stop-compression", "", "stop where the level falls short by this, such as 1dB")
	flags.StringVar(&c.stopBand, "stop-band", "", "where the stops look, in Hz, such as 100:5000; all of the sweep where not named")
	flags.StringVar(&c.below, "below", "3%", "tell how loud each octave gets below this distortion")
	flags.StringVar(&c.band, "band", "20:20000", "band of the sweep in Hz")
	c.length = 2.7
	flags.Var(&c.length, "length", "length of one sweep")
	flags.StringVar(&c.gate, "gate", "none", `close the gate so long after the arrival ("5ms"), before the first reflection ("auto"), or not at all ("none")`)
	flags.IntVar(&c.smoothing, "smoothing", 12, "average over 1/n octave; 0: not at all")
	flags.StringVar(&c.plot, "plot", "", "draw the charts to this file (.png, .svg or .pdf)")
	flags.BoolVar(&c.keep, "keep", false, "keep the take of each step in the records")
	return cmd
}

// quantity reads a number with its unit, which may be left out.
func quantity(flag, text, unit string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), unit)), 64)
	if err != nil || !(v > 0) || v > 1000 {
		return 0, usageError("--%s %q: give a figure above 0, such as 3%s", flag, text, unit)
	}
	return v, nil
}

// plan turns the flags into a staircase, without its programme.
func (c climbing) plan() (p staircase.Plan, sweep board.Band, below float64, err error) {
	p = staircase.Plan{FromDBFS: c.fromDBFS, ToDBFS: c.toDBFS, StepDB: c.stepDB, RestS: float64(c.rest), Smoothing: c.smoothing}
	if p.Stop.THDPercent, err = quantity("stop-thd", c.stopTHD, "%"); err != nil {
		return p, sweep, 0, err
	}
	if p.Stop.CompressionDB, err = quantity("stop-compression", c.stopCompression, "dB"); err != nil {
		return p, sweep, 0, err
	}
	if below, err = quantity("below", c.below, "%"); err != nil {
		return p, sweep, 0, err
	}
	if below == 0 {
		return p, sweep, 0, usageError("--below: give a distortion, such as 3%%")
	}
	if c.stopBand != "" {
		b, err := board.ParseBand(c.stopBand)
		if err != nil {
			return p, sweep, 0, usageError("--stop-band: %w", err)
		}
		p.Stop.FromHz, p.Stop.ToHz = b.FromHz, b.ToHz
	}
	if sweep, err = board.ParseBand(c.band); err != nil {
		return p, sweep, 0, usageError("--band: %w", err)
	}
	if p.Gate, err = parseGate(c.gate); err != nil {
		return p, sweep, 0, err
	}
	if c.plot != "" && drawer(c.plot) == nil {
		return p, sweep, 0, usageError("--plot %q: name a file that ends in .png, .svg or .pdf", c.plot)
	}
	if err := p.Check(); err != nil {
		return p, sweep, 0, usageError("%w", err)
	}
	return p, sweep, below, nil
}

// climb does the work of staircase.
func (p *program) climb(cmd *cobra.Command, c climbing) error {
	plan, sweep, below, err := c.plan()
	if err != nil {
		return err
	}
	if c.rig == "" && c.subject.Model == "" && !c.keep {
		return p.climbWith(cmd.Context(), cmd, c, plan, sweep, below, nil, "")
	}
	return p.withRecords(cmd.Context(), c.person, func(ctx context.Context, store records.Store, person string) error {
		return p.climbWith(ctx, cmd, c, plan, sweep, below, store, person)
	})
}

func (p *program) climbWith(ctx context.Context, cmd *cobra.Command, c climbing, plan staircase.Plan, sweep board.Band, below float64, store records.Store, person string) (err error) {
	r, err := c.chooseRig(ctx, cmd, store)
	if err != nil {
		return err
	}
	if c.subject.Model != "" {
		if c.subject, err = withLimits(ctx, store, c.subject); err != nil {
			return err
		}
	}
	plan.Programme = take.DefaultProgramme(r)
	plan.Programme.LowHz, plan.Programme.HighHz, plan.Programme.DurationS, plan.Programme.LevelDBFS = sweep.FromHz, sweep.ToHz, float64(c.length), c.fromDBFS
	if err := take.CheckProgramme(r, plan.Programme); err != nil {
		return usageError("%w", err)
	}
	sound, shut, err := p.openRig(r, "")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, shut()) }()
	if r.Kind != simulated.Kind {
		p.printCaution(staircase.Caution)
	}
	got, failed := staircase.Run(ctx, sound, r, c.subject, plan, p.stepTold())
	if got == nil {
		return failed
	}
	if c.keep {
		if err := p.keepSteps(ctx, store, got, person); err != nil {
			return err
		}
	}
	return errors.Join(failed, p.tellStaircase(got, below, c.plot))
}

// stepTold names each step once as it begins.
func (p *program) stepTold() func(staircase.Progress) {
	last := 0
	return func(x staircase.Progress) {
		if x.Step != last {
			last = x.Step
			fmt.Fprintf(p.errs, "stillroom: step %d of %d, %.1f dBFS\n", x.Step, x.Of, x.LevelDBFS)
		}
	}
}

// keepSteps keeps the take of each step.
func (p *program) keepSteps(ctx context.Context, store records.Store, got *staircase.Result, person string) error {
	for _, s := range got.Steps {
		study, err := take.NewStudy(s.Take)
		if err != nil {
			return err
		}
		s.Take.Person, s.Take.Version = person, version()
		if err := p.keep(ctx, store, s.Take, study, s.Take.Settings); err != nil {
			return err
		}
	}
	return nil
}
