package main

import (
	"errors"
	"fmt"
)

// The exit statuses, as scripts rely on them.
const (
	statusDone    = 0
	statusFailed  = 1 // the work failed: a bad file, no device
	statusUsage   = 2 // wrong usage
	statusVerdict = 3 // the verdict is fail, or the take is void
)

// exitError is an error that knows the exit status of the program.
type exitError struct {
	status int
	err    error
}

func (e *exitError) Error() string { return e.err.Error() }
func (e *exitError) Unwrap() error { return e.err }

// usageError says that the command was called wrongly, and what to do.
func usageError(format string, args ...any) error {
	return &exitError{statusUsage, fmt.Errorf(format, args...)}
}

// verdictError says that the work was done and its answer is no.
func verdictError(format string, args ...any) error {
	return &exitError{statusVerdict, fmt.Errorf(format, args...)}
}

// statusOf returns the exit status for what a command returned. An error with no
// status of its own is a failure of the work.
func statusOf(err error) int {
	var exit *exitError
	switch {
	case err == nil:
		return statusDone
	case errors.As(err, &exit):
		return exit.status
	default:
		return statusFailed
	}
}
