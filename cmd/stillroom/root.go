package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
)

// program is what all commands share: where they write, and the choices that
// stand before any of them.
type program struct {
	out    io.Writer // results
	errs   io.Writer // messages
	env    func(string) string
	makers []maker

	json  bool   // one JSON document on out, and nothing else
	store string // the records, as named on the command line; empty: not named
}

// run reads the command line, does the work and returns the exit status. An
// error is one line on errs.
func (p *program) run(ctx context.Context, args []string) int {
	root := p.root()
	root.SetArgs(args)
	root.SetOut(p.out)
	root.SetErr(p.errs)
	p.mark(root)
	command, err := root.ExecuteContextC(ctx)
	var exit *exitError
	if err != nil && !errors.As(err, &exit) {
		err = usageError("%w; see %s --help", err, command.CommandPath())
	}
	if err != nil {
		fmt.Fprintf(p.errs, "stillroom: %s\n", oneLine(err))
	}
	return statusOf(err)
}

// root is the tree of commands.
func (p *program) root() *cobra.Command {
	root := &cobra.Command{
		Use:           "stillroom",
		Short:         "Measure loudspeakers and headphones",
		Long:          "Stillroom measures loudspeakers and headphones. With no command it opens its window.",
		Args:          cobra.NoArgs,
		SilenceErrors: true,
		SilenceUsage:  true,
		RunE:          func(cmd *cobra.Command, _ []string) error { return p.window(cmd.Context()) },
	}
	flags := root.PersistentFlags()
	flags.BoolVar(&p.json, "json", false, "print one JSON document and nothing else")
	flags.StringVar(&p.store, "store", "", "the records: a file path (or set STILLROOM_STORE)")
	root.AddCommand(p.take(), p.analyze(), p.compare(), p.staircase(), p.demo(), p.rig(), p.devices(), p.about())
	return root
}

// mark gives each command's own errors the status of failed work, so that what
// is left without a status, the reading of the command line, is wrong usage.
func (p *program) mark(cmd *cobra.Command) {
	if work := cmd.RunE; work != nil {
		cmd.RunE = func(cmd *cobra.Command, args []string) error {
			err := work(cmd, args)
			if err == nil {
				return nil
			}
			return &exitError{statusOf(err), err}
		}
	}
	for _, child := range cmd.Commands() {
		p.mark(child)
	}
}

// printJSON writes the one document of a command.
func (p *program) printJSON(document any) error {
	encoder := json.NewEncoder(p.out)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(document); err != nil {
		return fmt.Errorf("writing the JSON document: %w", err)
	}
	return nil
}

// oneLine is the message of an error without line ends.
func oneLine(err error) string {
	return strings.Join(strings.Fields(err.Error()), " ")
}
