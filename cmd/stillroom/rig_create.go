package main

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"stillroom/app/audio/simulated"
	"stillroom/app/desk"
	"stillroom/app/records"
	"stillroom/app/rig"
)

// creating is what rig create is told.
type creating struct {
	output, input           string
	outChannel, inChannel   int
	loopback                int
	microphones             []string
	rate, level, limit      float64
	volts, ohm, distance    float64
	fixture, kind, simulate string
	replace                 bool
	person                  string
}

func (p *program) rigCreate() *cobra.Command {
	var c creating
	cmd := &cobra.Command{
		Use:   "create NAME",
		Short: "Set up a rig",
		Long: "Set up a rig: a sound card named by --output and --input, as stillroom devices lists them, or the simulated\n" +
			"rig with --simulate. A new rig plays at -40 dBFS and never above -12 dBFS: check the level before you raise them.\n" +
			"A tweeter needs a band limit or a capacitor in series. With --replace a rig of that name is changed in what is\n" +
			"named; its calibrations stay, and count only as long as they fit its devices, channels and rate.",
		Example: "  stillroom rig create bench --output 'ALSA: Interface' --input 'ALSA: Interface' --loopback 2 --max-volts 2.83",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.withRecords(cmd.Context(), c.person, func(ctx context.Context, store records.Store, _ string) error {
				return p.create(ctx, cmd, store, args[0], c)
			})
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&c.output, "output", "", "ID of the device that plays")
	flags.StringVar(&c.input, "input", "", "ID of the device that records; the same as --output where not named")
	flags.IntVar(&c.outChannel, "output-channel", 1, "channel that plays, from 1")
	flags.IntVar(&c.inChannel, "input-channel", 1, "channel of the first microphone, from 1")
	flags.IntVar(&c.loopback, "loopback", 0, "input channel that is wired to the output, from 1; 0: none")
	flags.StringArrayVar(&c.microphones, "microphone", nil, `another microphone as "CHANNEL", "CHANNEL:NAME" or "CHANNEL:NAME:PLACE"; may be given several times`)
	flags.Float64Var(&c.rate, "rate", 48000, "sample rate in Hz")
	flags.Float64Var(&c.level, "level", -40, "level of the sweep in dBFS")
	flags.Float64Var(&c.limit, "limit", -12, "highest level that may be played, in dBFS")
	flags.Float64Var(&c.volts, "max-volts", 0, "highest voltage that may be played, rms of a sine; 0: no limit in volts")
	flags.Float64Var(&c.ohm, "impedance", 0, "rated impedance of the device in ohm; 0: not known")
	flags.Float64Var(&c.distance, "distance", 0.5, "distance of the microphone in m")
	flags.StringVar(&c.fixture, "fixture", "", "the place of the measurement, in your words")
	flags.StringVar(&c.kind, "fixture-kind", "", "its kind: "+strings.Join(kindNames(), ", "))
	flags.StringVar(&c.simulate, "simulate", "", "a simulated rig with this in it: "+strings.Join(simulated.Subjects()[:4], ", "))
	flags.BoolVar(&c.replace, "replace", false, "change a rig that is there")
	flags.StringVar(&c.person, "person", "", "who does this")
	return cmd
}

func kindNames() []string {
	var names []string
	for _, k := range rig.FixtureKinds() {
		names = append(names, string(k))
	}
	return names
}

// create sets a rig up, or changes one.
func (p *program) create(ctx context.Context, cmd *cobra.Command, store records.Store, name string, c creating) error {
	kept, err := records.Rigs(store).Get(ctx, name)
	r := kept.Value
	there := err == nil
	switch {
	case err != nil && !errors.Is(err, records.ErrNoDocument):
		return err
	case there && !c.replace:
		return usageError("there is a rig %q: choose another name, or change it with --replace", name)
	case !there && c.simulate != "":
		r = desk.SimulatedRig()
		r.OutputDevice, r.InputDevice, r.Simulated.Serial = simulated.DeviceID, simulated.DeviceID, ""
	case !there && c.output == "":
		return usageError("give --output, the device that plays, or --simulate; stillroom devices lists the devices")
	case !there:
		r = desk.NewRig(name)
	}
	r.Name = name
	if r, err = c.apply(cmd, r); err != nil {
		return err
	}
	if err := records.Rigs(store).Put(ctx, r); err != nil {
		return err
	}
	return p.tellRig(r)
}

// apply changes in a rig what the flags name.
func (c creating) apply(cmd *cobra.Command, r rig.Rig) (rig.Rig, error) {
	if r.Kind == simulated.Kind && c.output+c.input != "" || r.Kind != simulated.Kind && c.simulate != "" {
		return r, usageError("a rig is a sound card's or simulated: --output and --input do not go with --simulate")
	}
	var err error
	change := map[string]func(){
		"output":         func() { r.OutputDevice, r.InputDevice = c.output, firstOf(r.InputDevice, c.output) },
		"input":          func() { r.InputDevice = c.input },
		"output-channel": func() { r.OutputChannel = c.outChannel - 1 },
		"input-channel":  func() { r.InputChannel = c.inChannel - 1 },
		"loopback":       func() { r.LoopbackChannel = c.loopback },
		"microphone":     func() { r.MoreMicrophones, err = microphones(c.microphones) },
		"rate":           func() { r.RateHz = c.rate },
		"level":          func() { r.LevelDBFS = c.level },
		"limit":          func() { r.LimitDBFS = c.limit },
		"max-volts":      func() { r.MaxVolts = c.volts },
		"impedance":      func() { r.RatedImpedanceOhm = c.ohm },
		"distance":       func() { r.DistanceM = c.distance },
		"fixture":        func() { r.Fixture = c.fixture },
		"fixture-kind":   func() { r.FixtureKind = rig.FixtureKind(c.kind) },
		"simulate":       func() { r.Simulated.Subject = c.simulate },
	}
	for _, flag := range slices.Sorted(maps.Keys(change)) {
		if cmd.Flags().Changed(flag) {
			change[flag]()
		}
	}
	if err == nil {
		err = checkRig(r)
	}
	return r, err
}

// microphones reads "CHANNEL:NAME:PLACE" texts.
func microphones(texts []string) ([]rig.Microphone, error) {
	var out []rig.Microphone
	for _, text := range texts {
		parts := strings.SplitN(text, ":", 3)
		channel, err := strconv.Atoi(strings.TrimSpace(parts[0]))
		if err != nil {
			return nil, usageError(`--microphone %q: give "CHANNEL", "CHANNEL:NAME" or "CHANNEL:NAME:PLACE", the channel from 1`, text)
		}
		m := rig.Microphone{Channel: channel - 1}
		if len(parts) > 1 {
			m.Name = parts[1]
		}
		if len(parts) > 2 {
			m.Place = parts[2]
		}
		out = append(out, m)
	}
	return out, nil
}

// checkRig tells what cannot be in a rig.
func checkRig(r rig.Rig) error {
	used := map[int]string{}
	for _, m := range r.Microphones() {
		if used[m.Channel] != "" || m.Channel < 0 {
			return usageError("input channel %d cannot be given to a microphone: channels count from 1, one microphone each", m.Channel+1)
		}
		used[m.Channel] = "a microphone"
	}
	switch {
	case len(used) > 8:
		return usageError("a rig has at most 8 microphones (got %d)", len(used))
	case r.OutputChannel < 0 || r.LoopbackChannel < 0:
		return usageError("channels count from 1")
	case r.LoopbackChannel > 0 && used[r.LoopbackChannel-1] != "":
		return usageError("input channel %d is a microphone's and cannot be the loopback", r.LoopbackChannel)
	case r.FixtureKind != "" && !slices.Contains(rig.FixtureKinds(), r.FixtureKind):
		return usageError("--fixture-kind %q: there are %s", r.FixtureKind, strings.Join(kindNames(), ", "))
	case !(r.RateHz >= 8000 && r.RateHz <= 384000):
		return usageError("a sample rate of %g Hz is not one to measure with: choose 44.1, 48, 96 or 192 kHz", r.RateHz)
	case !(r.LimitDBFS <= 0 && r.LimitDBFS >= -100):
		return usageError("the limit is between −100 and 0 dBFS (got %g)", r.LimitDBFS)
	case !(r.LevelDBFS <= r.LimitDBFS && r.LevelDBFS >= -100):
		return usageError("the level of %g dBFS is above the limit of %g dBFS, or below −100 dBFS", r.LevelDBFS, r.LimitDBFS)
	case !(r.MaxVolts >= 0 && r.MaxVolts <= 1000) || !(r.RatedImpedanceOhm >= 0 && r.RatedImpedanceOhm <= 10000) || !(r.DistanceM >= 0 && r.DistanceM <= 100):
		return usageError("limits in volts are 0 to 1000 V, impedances 0 to 10000 ohm, distances 0 to 100 m")
	}
	return checkSubject(r)
}

func checkSubject(r rig.Rig) error {
	if r.Kind != simulated.Kind {
		return nil
	}
	bench, err := simulated.New(simulated.Options{})
	if err == nil {
		err = bench.Use(r)
	}
	if err != nil {
		return usageError("%w", err)
	}
	return nil
}

// printCaution says on errs what belongs before a sound.
func (p *program) printCaution(text string) { fmt.Fprintf(p.errs, "stillroom: %s\n", text) }
