package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"stillroom/app/board"
	"stillroom/app/board/curves"
	"stillroom/app/records"
	"stillroom/app/take"
)

// comparing is what compare is told on the command line.
type comparing struct {
	board               string
	reference           int
	align, closeness    string
	smoothing, gate, re string
	metre               bool
	show                string
	target, fixture     string
	group, average      string
	sum                 bool
	at, plot, csv       string

	named func(flag string) bool
}

// compare is the command that lays takes and curves side by side.
func (p *program) compare() *cobra.Command {
	var c comparing
	cmd := &cobra.Command{
		Use:   "compare TAKE…",
		Short: "Lay takes and curves side by side",
		Long: "Lay takes side by side, with the reference trace, their differences from it and how close they come. A TAKE is the ID of a\n" +
			"kept take, a sound file that holds an impulse response, or a text file of frequency, dB and perhaps phase. With --board the\n" +
			"board of that name is opened, what is named is added and changed, and it is kept.",
		Example: "  stillroom compare 20261124-101502-k3 20261124-101644-p7 --align 500:2000 --closeness 200:15000 --plot trials.pdf\n" +
			"  stillroom compare woofer.wav target.txt --gate 4.7ms --show magnitude,difference,decay --json\n" +
			"  stillroom compare --board \"spacer trials\" --smoothing erb",
		RunE: func(cmd *cobra.Command, args []string) error {
			c.named = cmd.Flags().Changed
			return p.runCompare(cmd.Context(), c, args)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&c.board, "board", "", "open the board of this name where there is one, and keep it")
	flags.IntVar(&c.reference, "reference", 1, "number of the trace that the others are compared with")
	flags.StringVar(&c.align, "align", "500:2000", `bring all to the level of the reference over this band in Hz; "off": as measured`)
	flags.StringVar(&c.closeness, "closeness", "200:15000", "tell the closeness to the reference over this band in Hz")
	flags.StringVar(&c.smoothing, "smoothing", "12", "average over 1/n octave, \"erb\" (one equivalent rectangular bandwidth) or \"none\"")
	flags.StringVar(&c.gate, "gate", "kept", `the gate of all: "4.7ms", so many periods at each frequency ("cycles:6"), or each as it was "kept"`)
	flags.StringVar(&c.re, "re", "kept", "what levels are re: as kept, stimulus, spl, 2.83V, 1W, dB/V or dB/mW")
	flags.BoolVar(&c.metre, "one-metre", false, "bring sound pressure to 1 m; with --re")
	flags.StringVar(&c.show, "show", "magnitude,difference", "charts, with commas between them: "+showHelp())
	flags.StringVar(&c.target, "target", "", "a target: a text file of frequency, dB and perhaps tolerances, or one of: "+strings.Join(targetNames(), ", "))
	flags.StringVar(&c.fixture, "target-fixture", "", "kind of fixture that the target is for: flat plate, ear coupler …")
	flags.StringVar(&c.group, "group", "", "show of all together: mean, extremes, deviation, with commas")
	flags.StringVar(&c.average, "average", "", "add the average of all: power, level or complex")
	flags.BoolVar(&c.sum, "sum", false, "add the sum of all, as drivers that play together")
	flags.StringVar(&c.at, "at", "", "tell the levels at these frequencies in Hz, with commas between them")
	flags.StringVar(&c.plot, "plot", "", "draw the charts to this file (.png, .svg or .pdf)")
	flags.StringVar(&c.csv, "csv", "", "write what the charts show to this file; with several charts, one file each")
	return cmd
}

func showHelp() string {
	var names []string
	for _, v := range board.Views() {
		names = append(names, string(v))
	}
	return strings.Join(names, ", ")
}

// runCompare opens or makes a board, works it out and tells it.
func (p *program) runCompare(ctx context.Context, c comparing, args []string) error {
	if len(args) == 0 && c.board == "" {
		return usageError("name takes or files to compare, or a board with --board")
	}
	if c.plot != "" && drawer(c.plot) == nil {
		return usageError("--plot %q: name a file that ends in .png, .svg or .pdf", c.plot)
	}
	if err := c.apply(&board.Board{}); err != nil { // before anything is read
		return err
	}
	if c.board == "" && !anyTake(args) {
		return p.compareWith(ctx, c, args, nil)
	}
	return p.withRecords(ctx, "", func(ctx context.Context, store records.Store, _ string) error {
		return p.compareWith(ctx, c, args, store)
	})
}

// compareWith does the work of compare; without a store there are only files.
func (p *program) compareWith(ctx context.Context, c comparing, args []string, store records.Store) error {
	load := func(ctx context.Context, id string) (*take.Take, error) { return store.Take(ctx, id) }
	b, version, err := openBoard(ctx, c.board, store)
	if err != nil {
		return err
	}
	b, err = p.addTraces(ctx, b, args, load)
	if err != nil {
		return err
	}
	if version == 0 || c.changes() {
		if err := c.apply(&b); err != nil {
			return err
		}
	}
	if b, err = c.combine(b); err != nil {
		return err
	}
	if err := b.Check(); err != nil {
		return err
	}
	if c.board != "" && (version == 0 || len(args) > 0 || c.changes()) {
		if _, err := boards(store).Keep(ctx, records.Versioned[board.Board]{Value: b, Version: version}); err != nil {
			return fmt.Errorf("the board is not kept: %w", err)
		}
		fmt.Fprintf(p.errs, "stillroom: the board %q is kept in %s\n", b.Name, store.Where())
	}
	set, err := curves.NewReader(load, curves.Room).Lay(ctx, b)
	if err != nil {
		return err
	}
	return p.tellBoard(ctx, set, c)
}

// boards is the shelf of the boards.
func boards(store records.Store) records.Shelf[board.Board] {
	return records.NewShelf(store, records.BoardKind, func(b board.Board) string { return b.Name })
}

// openBoard opens a board, or begins one.
func openBoard(ctx context.Context, name string, store records.Store) (board.Board, int, error) {
	if name == "" {
		return board.New(""), 0, nil
	}
	v, err := boards(store).Get(ctx, name)
	if errors.Is(err, records.ErrNoDocument) {
		return board.New(name), 0, nil
	}
	return v.Value, v.Version, err
}
