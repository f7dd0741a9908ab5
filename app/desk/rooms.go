package desk

import (
	"context"
	"time"

	"stillroom/app/records"
)

// What follows is for rooms that hold a work of their own and share the records, the
// clock and the line for the reader with the desk.

// Records is where takes and documents are kept.
func (d *Desk) Records() records.Store { return d.parts.Records }

// By names the person at the desk as the one who acts.
func (d *Desk) By(ctx context.Context) context.Context { return d.by(ctx) }

// Now is the clock of the desk.
func (d *Desk) Now() time.Time { return d.now() }

// Tell shows a plain line; TellError shows an error line and returns the error.
func (d *Desk) Tell(text string) { d.say(text) }

// TellError shows an error line and returns the error; of none it shows nothing.
func (d *Desk) TellError(err error) error { return d.fail(err) }

// Touch tells the observers that a part has changed.
func (d *Desk) Touch(t Topic) { d.change(t, func(*State) {}) }
