package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"stillroom/app/audio"
	"stillroom/app/audio/filepair"
	"stillroom/app/audio/simulated"
	"stillroom/app/desk"
	"stillroom/app/records"
	"stillroom/app/rig"
	"stillroom/app/take"
	"stillroom/dsp/excitation"
)

// measuring is what take is told on the command line. What is not named comes from
// the rig.
type measuring struct {
	rig                       string
	output, input             string
	outChannel, inChannel     int
	rate, level, most         float64
	simulate, faults, fixture string
	files                     string

	subject  take.Subject
	person   string
	low, top float64
	length   seconds
	pause    seconds
	repeats  int
	keep     bool
	override string

	seatings int    // of a series; 0: one take
	side     string // of a headphone
	yes      bool   // ask nothing between seatings

	lowestHz, highestVolts float64 // drive limits
	unchecked              bool    // accepted that the volts cannot be checked
}

// take is the command that measures.
func (p *program) take() *cobra.Command {
	var m measuring
	var how reading
	cmd := &cobra.Command{
		Use:   "take",
		Short: "Measure with a rig",
		Long: "Play a sweep on a rig, record it and analyse it. The rig is one that was set up in the window, by --rig, or the\n" +
			"simulated one; or a sound card named by --output and --input, as stillroom devices lists them. A new rig plays at\n" +
			"-40 dBFS at first. Take headphones off your head, and protect your ears above 85 dB(A).",
		Example: "  stillroom take --simulate woofer --serial H6W-0417 --keep --plot take.png\n" +
			"  stillroom take --simulate headphone --seatings 5 --side left --json",
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return p.measure(cmd, m, how) },
	}
	flags := cmd.Flags()
	flags.StringVar(&m.rig, "rig", "", "name of a rig that was set up before")
	flags.StringVar(&m.output, "output", "", "ID of the device that plays")
	flags.StringVar(&m.input, "input", "", "ID of the device that records; the same as --output where not named")
	flags.IntVar(&m.outChannel, "output-channel", 1, "channel that plays, from 1")
	flags.IntVar(&m.inChannel, "input-channel", 1, "channel of the microphone, from 1")
	flags.Float64Var(&m.rate, "rate", 48000, "sample rate in Hz")
	flags.Float64Var(&m.level, "level", -40, "level of the sweep in dBFS")
	flags.Float64Var(&m.most, "limit", -12, "highest level that may be played, in dBFS")
	flags.StringVar(&m.simulate, "simulate", "", "measure on the simulated rig: "+strings.Join(simulated.Subjects()[:4], ", "))
	flags.StringVar(&m.faults, "faults", "", "faults of the simulated rig, with commas between them: "+strings.Join(simulated.FaultNames(), ", "))
	flags.StringVar(&m.files, "files", "", "measure by a pair of files in this folder: play its stimulus.wav and record it as its recording.wav")
	flags.StringVar(&m.fixture, "fixture", "", "the place of the measurement")
	flags.StringVar(&m.subject.Model, "model", "", "model of the unit")
	flags.StringVar(&m.subject.Serial, "serial", "", "serial number of the unit")
	flags.StringVar(&m.subject.Batch, "batch", "", "batch of the unit")
	flags.Float64Var(&m.subject.AngleDeg, "angle", 0, "angle of the microphone in degrees")
	flags.StringVar(&m.subject.Note, "note", "", "a note that stays with the take")
	flags.StringVar(&m.person, "person", "", "who measures")
	flags.Float64Var(&m.low, "from", 20, "lowest frequency in Hz")
	flags.Float64Var(&m.top, "to", 20000, "highest frequency in Hz")
	m.length = 2.7
	flags.Var(&m.length, "length", "length of one sweep")
	flags.Var(&m.pause, "pause", "pause after a sweep for its decay; 0: the usual half second")
	flags.IntVar(&m.repeats, "repeats", 1, "number of sweeps, 1 to 16")
	flags.BoolVar(&m.keep, "keep", false, "keep the take in the records")
	flags.StringVar(&m.override, "override", "", "keep a void take all the same, for this reason, which stays on it for ever")
	m.addSeries(flags)
	m.addLimits(flags)
	how.add(cmd, "auto")
	return cmd
}

// measure does the work of take.
func (p *program) measure(cmd *cobra.Command, m measuring, how reading) error {
	ctx := cmd.Context()
	chosen := p.choices()
	if err := m.checkSeries(cmd); err != nil {
		return err
	}
	var store records.Store
	if m.keep || m.rig != "" || m.subject.Model != "" {
		spooled, err := p.openSpooled(ctx, chosen.Settings())
		if err != nil {
			return err
		}
		defer spooled.Close()
		store = spooled
	}
	r, err := m.chooseRig(ctx, cmd, store)
	if err != nil {
		return err
	}
	if err := m.limitDrive(ctx, cmd, store); err != nil {
		return err
	}
	programme := m.programme(r, cmd)
	set, frequencies, err := how.settings(cmd, programme.RateHz)
	if err != nil {
		return err
	}
	if err := take.CheckProgramme(r, programme); err != nil {
		return usageError("%w", err)
	}
	m.person = firstOf(m.person, chosen.Settings().Person, loginName())
	plan := plan{measuring: m, reading: how, store: store, on: r, sweep: programme, set: set, frequencies: frequencies}
	if m.seatings > 0 {
		return p.measureSeries(cmd, plan)
	}
	return p.measureOne(ctx, plan)
}

// plan is a measurement with all that was chosen for it.
type plan struct {
	measuring
	reading
	store       records.Store // nil: none is needed
	on          rig.Rig
	sweep       excitation.Programme
	set         take.Settings
	frequencies []float64 // Hz, at which it is read
}

// sign notes who measured, with what.
func (m plan) sign(one *take.Take) {
	one.Person, one.Version, one.Settings = m.person, version(), m.set
}

// measureOne measures a take that stands alone.
func (p *program) measureOne(ctx context.Context, m plan) error {
	one, err := p.recordOn(ctx, m.on, m.sweep, m.measuring)
	if err != nil {
		return err
	}
	m.sign(one)
	study, err := take.NewStudy(one)
	if errors.Is(err, take.ErrNoSignal) {
		return verdictError("the take is void: %w", err)
	}
	if err != nil {
		return err
	}
	a, err := study.AnalyseAt(m.set, m.frequencies)
	if err != nil {
		return err
	}
	if a.Void() {
		one.Override = m.override
	}
	if m.keep && (!a.Void() || m.override != "") {
		if err := p.keep(ctx, m.store, one, study, m.set); err != nil {
			return err
		}
	}
	return p.tell(study, a, m.set, m.reading, one.ID)
}

// keep puts a take into the records under a new ID.
func (p *program) keep(ctx context.Context, store records.Store, one *take.Take, study *take.Study, set take.Settings) error {
	whole, err := study.Analyse(set)
	if err != nil {
		return err
	}
	one.ID = records.NewID(one.At)
	if err := store.Keep(ctx, records.Kept{Take: one, Summary: desk.Summary(whole)}); err != nil {
		return err
	}
	p.tellKept(store, one.ID)
	return nil
}

// chooseRig finds the rig that the flags name, and changes in it what they name.
func (m measuring) chooseRig(ctx context.Context, cmd *cobra.Command, store records.Store) (rig.Rig, error) {
	named := cmd.Flags().Changed
	r := desk.SimulatedRig()
	switch {
	case m.rig != "" && m.output != "" || m.files != "" && m.rig+m.output+m.input != "":
		return r, usageError("give one of --rig, --output and --files")
	case m.rig != "":
		kept, err := records.Rigs(store).Get(ctx, m.rig)
		if err != nil {
			return r, err
		}
		r = kept.Value
	case m.files != "":
		r = desk.NewRig("pair of files")
		r.Kind, r.OutputDevice, r.InputDevice = filepair.Kind, filepair.DeviceID, filepair.DeviceID
		r.LevelDBFS, r.LimitDBFS = -12, 0 // the player's own volume decides
	case m.output != "" || m.input != "":
		if m.output == "" {
			return r, usageError("give --output, the device that plays; stillroom devices lists them")
		}
		r = desk.NewRig("command line")
		r.OutputDevice, r.InputDevice = m.output, firstOf(m.input, m.output)
		r.LevelDBFS, r.LimitDBFS, r.RateHz = m.level, m.most, m.rate
	default:
		r.OutputDevice, r.InputDevice = simulated.DeviceID, simulated.DeviceID
	}
	if named("output-channel") || m.output != "" {
		r.OutputChannel = m.outChannel - 1
	}
	if named("input-channel") || m.output != "" {
		r.InputChannel = m.inChannel - 1
	}
	change := map[string]func(){
		"rate":     func() { r.RateHz = m.rate },
		"level":    func() { r.LevelDBFS = m.level },
		"limit":    func() { r.LimitDBFS = m.most },
		"fixture":  func() { r.Fixture = m.fixture },
		"simulate": func() { r.Simulated.Subject = m.simulate },
		"serial":   func() { r.Simulated.Serial = m.subject.Serial },
		"faults":   func() { r.Simulated.Faults = strings.Split(m.faults, ",") },
	}
	for flag, apply := range change {
		if named(flag) {
			apply()
		}
	}
	if (named("simulate") || named("faults")) && r.Kind != simulated.Kind {
		return r, usageError("--simulate and --faults are for the simulated rig; this rig plays on a sound card")
	}
	return r, nil
}

func (m measuring) programme(r rig.Rig, cmd *cobra.Command) excitation.Programme {
	programme := take.DefaultProgramme(r)
	programme.LowHz, programme.HighHz = m.low, m.top
	programme.DurationS, programme.PauseS = float64(m.length), float64(m.pause)
	programme.Repeats = m.repeats
	return programme
}

// recordOn opens the rig's sound interface for the length of one take.
func (p *program) recordOn(ctx context.Context, r rig.Rig, programme excitation.Programme, m measuring) (one *take.Take, err error) {
	sound, shut, err := p.openRig(r, m.files)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, shut()) }()
	return take.Record(ctx, sound, r, programme, m.subject, nil)
}

// openRig opens what a rig measures with. On the simulated rig time passes as fast
// as it can be computed.
func (p *program) openRig(r rig.Rig, files string) (audio.Interface, func() error, error) {
	switch r.Kind {
	case simulated.Kind:
		bench, err := simulated.New(simulated.Options{})
		if err != nil {
			return nil, nil, err
		}
		if err := bench.Use(r); err != nil {
			return nil, nil, usageError("%w", err)
		}
		return bench, func() error { return nil }, nil
	case filepair.Kind:
		pair, err := filepair.New(files)
		return pair, func() error { return nil }, err
	}
	return p.openKind(r.Kind)
}

func (p *program) openKind(kind string) (audio.Interface, func() error, error) {
	for _, m := range p.makers {
		if m.kind == kind {
			return m.open()
		}
	}
	return nil, nil, fmt.Errorf("this program has no sound interface of the kind %q: choose another rig", kind)
}

// firstOf returns the first text that is not empty.
func firstOf(texts ...string) string {
	for _, t := range texts {
		if t != "" {
			return t
		}
	}
	return ""
}
