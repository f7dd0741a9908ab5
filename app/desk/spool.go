package desk

import (
	"context"
	"errors"
	"fmt"

	"stillroom/app/records"
	"stillroom/app/records/spool"
)

// waiting are records before which takes can wait on this machine (app/records/spool).
type waiting interface {
	State() spool.State
	Waits(id string) bool
	Changes() <-chan struct{}
}

// FollowSpool shows what waits on this machine, and says when the records go away and
// when they are back, until ctx ends. Without a spool it returns at once.
func (d *Desk) FollowSpool(ctx context.Context) error {
	w, spooled := d.parts.Records.(waiting)
	if !spooled {
		return nil
	}
	changes := w.Changes()
	for {
		d.showSpool(w.State())
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-changes:
		}
	}
}

func (d *Desk) showSpool(now spool.State) {
	before := d.State().Spool
	d.change(SpoolTopic, func(s *State) { s.Spool, s.Spooled = now, true })
	switch {
	case before.Away == nil && now.Away != nil:
		d.change(NoticeTopic, func(s *State) { s.Notice = Notice{Text: awayNotice(now.Away), Error: true} })
	case before.Away != nil && now.Away == nil && now.Waiting == 0:
		d.say("The records are back, and nothing waits on this machine.")
	case now.Away == nil && before.Waiting > 0 && now.Waiting == 0:
		d.say("What waited on this machine is in the records now.")
	}
}

// awayNotice says why the records cannot be reached, and what that means.
func awayNotice(why error) string {
	return sentence(fmt.Errorf("%s: takes are kept on this machine until then, and go into the records by themselves (%w)", awayWords(why), why))
}

// awayWords says in a few words why the records cannot be reached.
func awayWords(why error) string {
	switch {
	case errors.Is(why, records.ErrFull):
		return "the disk of the records is full"
	case errors.Is(why, records.ErrBusy):
		return "another program holds the records"
	case errors.Is(why, records.ErrReadOnly):
		return "the records cannot be written"
	}
	return "the records server does not answer"
}

// SavedLine tells whether all that was kept is in the records, and is empty where that
// is not followed. all is false where something waits, or would.
func (s State) SavedLine() (text string, all bool) {
	switch {
	case !s.Spooled:
		return "", true
	case s.Spool.Waiting == 0 && s.Spool.Away == nil:
		return "All saved", true
	case s.Spool.Away == nil:
		return waits(s.Spool.Waiting) + " on this machine: going over", false
	case s.Spool.Waiting == 0:
		return sentenceCase(awayWords(s.Spool.Away)), false
	}
	return waits(s.Spool.Waiting) + " on this machine: " + awayWords(s.Spool.Away), false
}

func waits(n int) string {
	if n == 1 {
		return "1 take waits"
	}
	return fmt.Sprintf("%d takes wait", n)
}

// keptHere tells whether a take waits on this machine.
func (d *Desk) keptHere(id string) bool {
	w, spooled := d.parts.Records.(waiting)
	return spooled && w.Waits(id)
}

// keptLine says that takes were kept, and where: in the records, as the line given
// says, or on this machine.
func (d *Desk) keptLine(line, what string, id string) string {
	if !d.keptHere(id) {
		return line
	}
	return fmt.Sprintf("Kept on this machine: %s. The records cannot be reached; it goes into them by itself when they are back.", what)
}

// recordsAway tells whether the records cannot be reached now.
func (d *Desk) recordsAway() bool {
	w, spooled := d.parts.Records.(waiting)
	return spooled && w.State().Away != nil
}
