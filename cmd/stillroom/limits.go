package main

import (
	"context"
	"errors"
	"math"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"stillroom/app/records"
	"stillroom/app/take"
)

func (m *measuring) addLimits(flags *pflag.FlagSet) {
	flags.Float64Var(&m.lowestHz, "lowest-hz", 0, "the lowest frequency that the unit may be driven at, in Hz; without it that of its model, where it is kept")
	flags.Float64Var(&m.highestVolts, "highest-volts", 0, "the highest voltage that the unit may be driven with, in V rms; without it that of its model, where it is kept")
	flags.BoolVar(&m.unchecked, "accept-unchecked-volts", false, "play although the output is not calibrated, so that a limit in volts cannot be checked")
}

// limitDrive finds how hard the unit may be driven: what is kept of its model, and what
// the flags say instead.
func (m *measuring) limitDrive(ctx context.Context, cmd *cobra.Command, store records.Store) (err error) {
	if m.subject.Model != "" {
		if m.subject, err = withLimits(ctx, store, m.subject); err != nil {
			return err
		}
	}
	for flag, told := range map[string]struct{ value, limit *float64 }{
		"lowest-hz":     {&m.lowestHz, &m.subject.Limits.LowestHz},
		"highest-volts": {&m.highestVolts, &m.subject.Limits.HighestVolts},
	} {
		if !cmd.Flags().Changed(flag) {
			continue
		}
		if *told.value < 0 || math.IsNaN(*told.value) || math.IsInf(*told.value, 0) {
			return usageError("--%s %g: give a number above 0, or 0 for no limit", flag, *told.value)
		}
		*told.limit = *told.value
	}
	if m.subject.Limits.None() {
		m.subject.Limits = take.Subject{}.Limits
		return nil
	}
	m.subject.Limits.Unchecked = m.unchecked
	return nil
}

// withLimits finds the drive limits of a model that is kept.
func withLimits(ctx context.Context, store records.Store, s take.Subject) (take.Subject, error) {
	m, err := records.Models(store).Get(ctx, s.Model)
	if errors.Is(err, records.ErrNoDocument) {
		return s, nil
	}
	s.Limits = m.Value.Limits()
	return s, err
}
