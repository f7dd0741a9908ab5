package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"stillroom/app/audio/simulated"
)

// asker returns what waits for somebody to seat the unit anew. On a terminal it asks
// for Enter; with --yes, and on the simulated rig without a terminal, it asks nobody.
func (p *program) asker(in io.Reader, m plan) (func(context.Context, string) error, error) {
	person := terminal(in)
	switch {
	case m.yes || !person && m.on.Kind == simulated.Kind:
		return func(ctx context.Context, _ string) error { return ctx.Err() }, nil
	case !person:
		return nil, usageError("somebody must seat the unit anew between takes: run this at a terminal, or give --yes where a machine does it")
	}
	return p.waitForEnter(in), nil
}

// waitForEnter shows a line and waits for Enter, or for the work to be stopped.
func (p *program) waitForEnter(in io.Reader) func(context.Context, string) error {
	lines := bufio.NewReader(in)
	return func(ctx context.Context, text string) error {
		fmt.Fprintf(p.errs, "%s ", text)
		read := make(chan error, 1)
		go func() {
			_, err := lines.ReadString('\n')
			read <- err
		}()
		select {
		case <-ctx.Done():
			return ctx.Err()
		case err := <-read:
			if err != nil {
				return errors.New("nobody pressed Enter, so nothing was played")
			}
			return nil
		}
	}
}

// terminal tells whether somebody may sit at the other end.
func terminal(in io.Reader) bool {
	file, ok := in.(*os.File)
	if !ok {
		return false
	}
	at, err := file.Stat()
	if err != nil || at.Mode()&os.ModeCharDevice == 0 {
		return false
	}
	nobody, err := os.Stat(os.DevNull)
	return err != nil || !os.SameFile(at, nobody)
}
