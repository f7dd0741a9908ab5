package main

import (
	"context"
	"errors"
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"stillroom/app/audio"
)

// deviceRow is one device in the JSON document of the command.
type deviceRow struct {
	Kind          string    `json:"kind"`
	ID            string    `json:"id"`
	Name          string    `json:"name"`
	HostAPI       string    `json:"hostApi"`
	Inputs        int       `json:"inputs"`
	Outputs       int       `json:"outputs"`
	DefaultRateHz float64   `json:"defaultRateHz"`
	RatesHz       []float64 `json:"ratesHz"`
	DefaultInput  bool      `json:"defaultInput"`
	DefaultOutput bool      `json:"defaultOutput"`
}

// devices is the command that lists what can play and record.
func (p *program) devices() *cobra.Command {
	return &cobra.Command{
		Use:   "devices",
		Short: "List the sound devices, and the simulated rig",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			rows, err := p.listDevices(cmd.Context())
			if err != nil {
				return err
			}
			if p.json {
				return p.printJSON(map[string][]deviceRow{"devices": rows})
			}
			return p.printDevices(rows)
		},
	}
}

// listDevices asks every maker. One that fails is said on errs and does not hide
// the others; when all fail, so does the command.
func (p *program) listDevices(ctx context.Context) ([]deviceRow, error) {
	rows := []deviceRow{}
	var failures []error
	for _, m := range p.makers {
		devices, err := list(ctx, m)
		if err != nil {
			failures = append(failures, fmt.Errorf("listing the %s devices: %w", m.kind, err))
			continue
		}
		for _, d := range devices {
			rows = append(rows, rowOf(m.kind, d))
		}
	}
	if len(failures) == len(p.makers) {
		return nil, errors.Join(failures...)
	}
	for _, failure := range failures {
		fmt.Fprintf(p.errs, "stillroom: %s\n", oneLine(failure))
	}
	return rows, nil
}

// list opens one maker for as long as it takes to ask it.
func list(ctx context.Context, m maker) (devices []audio.Device, err error) {
	sound, done, err := m.open()
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, done()) }()
	return sound.Devices(ctx)
}

func rowOf(kind string, d audio.Device) deviceRow {
	rates := d.RatesHz
	if rates == nil {
		rates = []float64{}
	}
	return deviceRow{
		Kind: kind, ID: d.ID, Name: d.Name, HostAPI: d.HostAPI,
		Inputs: d.Inputs, Outputs: d.Outputs,
		DefaultRateHz: d.DefaultRateHz, RatesHz: rates,
		DefaultInput: d.DefaultInput, DefaultOutput: d.DefaultOutput,
	}
}

// printDevices draws the list as a table for people.
func (p *program) printDevices(rows []deviceRow) error {
	table := tabwriter.NewWriter(p.out, 0, 4, 2, ' ', 0)
	fmt.Fprintln(table, "KIND\tIN\tOUT\tRATE\tID")
	for _, r := range rows {
		note := ""
		switch {
		case r.DefaultInput && r.DefaultOutput:
			note = "  (default)"
		case r.DefaultInput:
			note = "  (default input)"
		case r.DefaultOutput:
			note = "  (default output)"
		}
		fmt.Fprintf(table, "%s\t%d\t%d\t%g Hz\t%s%s\n", r.Kind, r.Inputs, r.Outputs, r.DefaultRateHz, r.ID, note)
	}
	return table.Flush()
}
