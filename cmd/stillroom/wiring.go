package main

import (
	"context"
	"errors"
)

// makers are the sound interfaces of this program, in the order they are listed.
func makers() []maker {
	return nil
}

// window opens the window and returns when it is closed.
func (p *program) window(context.Context) error {
	return errors.New("this build has no window; see stillroom --help for the commands")
}
