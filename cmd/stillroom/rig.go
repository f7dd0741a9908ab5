package main

import (
	"context"
	"errors"
	"fmt"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"stillroom/app/records"
	"stillroom/app/rig"
)

// rig is the command that keeps rigs and calibrates them.
func (p *program) rig() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "rig",
		Short: "Set up rigs and calibrate them",
		Long:  "A rig is one way of measuring: devices and channels, microphone, fixture, limits and calibrations.",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return usageError("say what to do with rigs: list, show, create, calibrate or delete; see %s --help", cmd.CommandPath())
		},
	}
	cmd.AddCommand(p.rigList(), p.rigShow(), p.rigCreate(), p.rigCalibrate(), p.rigDelete())
	return cmd
}

func (p *program) rigList() *cobra.Command {
	return &cobra.Command{
		Use:   "list",
		Short: "List the rigs with the state of their calibrations",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return p.withRecords(cmd.Context(), "", func(ctx context.Context, store records.Store, _ string) error {
				rigs, err := records.Rigs(store).Values(ctx)
				if err != nil {
					return err
				}
				if p.json {
					return p.printJSON(map[string]any{"rigs": rigsJSON(rigs, time.Now())})
				}
				return p.printRigs(rigs, time.Now())
			})
		},
	}
}

func (p *program) rigShow() *cobra.Command {
	return &cobra.Command{
		Use:   "show NAME",
		Short: "Show a rig with its calibrations and their age",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.withRecords(cmd.Context(), "", func(ctx context.Context, store records.Store, _ string) error {
				r, err := records.Rigs(store).Get(ctx, args[0])
				if err != nil {
					return err
				}
				return p.tellRig(r.Value)
			})
		},
	}
}

func (p *program) rigDelete() *cobra.Command {
	var person string
	cmd := &cobra.Command{
		Use:   "delete NAME",
		Short: "Delete a rig; takes keep what they know of it",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.withRecords(cmd.Context(), person, func(ctx context.Context, store records.Store, _ string) error {
				if err := records.Rigs(store).Delete(ctx, args[0]); err != nil {
					return err
				}
				if p.json {
					return p.printJSON(map[string]string{"deleted": args[0]})
				}
				fmt.Fprintf(p.out, "The rig %q is deleted.\n", args[0])
				return nil
			})
		},
	}
	cmd.Flags().StringVar(&person, "person", "", "who does this")
	return cmd
}

// withRecords does work on the records, in the name of a person: the one named, or
// the one of the settings, or who is logged in.
func (p *program) withRecords(ctx context.Context, person string, work func(context.Context, records.Store, string) error) (err error) {
	chosen := p.choices().Settings()
	person = firstOf(person, chosen.Person, loginName())
	store, err := p.openStore(ctx, chosen)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	return work(records.By(ctx, person), store, person)
}

// tellRig prints one rig.
func (p *program) tellRig(r rig.Rig) error {
	now := time.Now()
	if p.json {
		return p.printJSON(rigOf(r, now))
	}
	table := tabwriter.NewWriter(p.out, 0, 4, 2, ' ', 0)
	row := func(name, format string, args ...any) {
		fmt.Fprintf(table, "%s\t%s\n", name, fmt.Sprintf(format, args...))
	}
	row("Rig", "%s (%s)", r.Name, r.Kind)
	row("Fixture", "%s, microphone at %g m", firstOf(r.Fixture, string(r.FixtureKind), "not named"), r.DistanceM)
	row("Output", "%s, channel %d", firstOf(r.OutputDevice, "not chosen"), r.OutputChannel+1)
	for _, m := range r.Microphones() {
		row("Microphone", "%s, channel %d %s", firstOf(r.InputDevice, "not chosen"), m.Channel+1, firstOf(m.Name, m.Place))
	}
	if r.LoopbackChannel > 0 {
		row("Loopback", "channel %d", r.LoopbackChannel)
	}
	row("Level", "%.1f dBFS at %g Hz, never above %s", r.LevelDBFS, r.RateHz, limitText(r))
	c := r.Chain(r.InputChannel)
	row("Full scale", "%s at the output, %s at the microphone", plain("%.4g V", c.VoltsAtFS), plain("%.4g Pa", c.PascalAtFS))
	for _, l := range r.Status(now) {
		row("Calibration", "%s", l.Text)
	}
	return table.Flush()
}

func limitText(r rig.Rig) string {
	text := fmt.Sprintf("%.1f dBFS", r.LimitDBFS)
	if r.MaxVolts > 0 {
		text += fmt.Sprintf(" or %g V", r.MaxVolts)
		if _, held := r.HighestDBFS(); !held {
			text += " (the volts cannot be kept: the output is not calibrated)"
		}
	}
	return text
}

// printRigs draws the list as a table for people.
func (p *program) printRigs(rigs []rig.Rig, now time.Time) error {
	table := tabwriter.NewWriter(p.out, 0, 4, 2, ' ', 0)
	fmt.Fprintln(table, "NAME\tKIND\tFIXTURE\tLEVEL\tLIMIT\tCALIBRATION")
	for _, r := range rigs {
		fmt.Fprintf(table, "%s\t%s\t%s\t%.1f dBFS\t%.1f dBFS\t%s\n", r.Name, r.Kind, r.Fixture, r.LevelDBFS, r.LimitDBFS, shortStatus(r, now))
	}
	return table.Flush()
}

// shortStatus is the one line that matters most: what is old or foreign, else how
// the microphone's level stands.
func shortStatus(r rig.Rig, now time.Time) string {
	lines := r.Status(now)
	for _, state := range []rig.State{rig.Foreign, rig.Old} {
		for _, l := range lines {
			if l.State == state {
				return l.Text
			}
		}
	}
	return lines[1].Text
}
