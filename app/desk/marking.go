package desk

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"stillroom/app/records"
)

// Delete takes takes out of the list, all or none. Restore, or Undo, brings them back.
func (d *Desk) Delete(ctx context.Context, ids ...string) error {
	if len(ids) == 0 {
		return d.fail(errors.New("no take is chosen: choose the one to delete"))
	}
	if err := d.parts.Records.Delete(d.by(ctx), ids...); err != nil {
		return d.fail(fmt.Errorf("nothing is deleted: %w", d.gone(err)))
	}
	d.mu.Lock()
	d.deleted = append(d.deleted, slices.Clone(ids))
	d.mu.Unlock()
	d.deselect(ids)
	d.say(fmt.Sprintf("Deleted %s. Ctrl+Z brings %s back.", plural(len(ids), "take"), themOrIt(ids)))
	return errors.Join(d.Refresh(ctx), d.LoadDetail(ctx))
}

// gone says what to do where a take is not there to act on any more.
func (d *Desk) gone(err error) error {
	if errors.Is(err, records.ErrNoTake) {
		return fmt.Errorf("%w: one of the takes was deleted or brought back by somebody else meanwhile; press Esc and choose again", records.ErrNoTake)
	}
	return err
}

func themOrIt(ids []string) string {
	if len(ids) == 1 {
		return "it"
	}
	return "them"
}

// Undo brings back all takes that were deleted last in one step. Where there are none
// it says so. While the records cannot be reached it can be asked for again.
func (d *Desk) Undo(ctx context.Context) error {
	d.mu.Lock()
	n := len(d.deleted)
	var ids []string
	if n > 0 {
		ids, d.deleted = d.deleted[n-1], d.deleted[:n-1]
	}
	d.mu.Unlock()
	if len(ids) == 0 {
		d.say("There is nothing to bring back: no take was deleted since the start.")
		return nil
	}
	err := d.Restore(ctx, ids...)
	if err != nil && !errors.Is(err, records.ErrNoTake) {
		d.mu.Lock()
		d.deleted = append(d.deleted, ids)
		d.mu.Unlock()
	}
	return err
}

// Restore brings deleted takes back into the list, all or none.
func (d *Desk) Restore(ctx context.Context, ids ...string) error {
	if len(ids) == 0 {
		return d.fail(errors.New("no take is chosen: choose the one to bring back"))
	}
	if err := d.parts.Records.Restore(d.by(ctx), ids...); err != nil {
		return d.fail(fmt.Errorf("nothing comes back: %w", d.gone(err)))
	}
	d.mu.Lock()
	d.deleted = slices.DeleteFunc(slices.Clone(d.deleted), func(step []string) bool { return slices.Equal(step, ids) })
	d.mu.Unlock()
	d.deselect(ids)
	d.say(fmt.Sprintf("Brought back %s.", plural(len(ids), "take")))
	return errors.Join(d.Refresh(ctx), d.LoadDetail(ctx))
}

// TagForm is which tags takes get and lose, each a list with commas.
type TagForm struct{ Add, Remove string }

// CheckTags returns the lines of a form that cannot be used.
func CheckTags(f TagForm) []Field {
	add, remove := listed(f.Add), listed(f.Remove)
	var in reader
	for _, tag := range add {
		if slices.Contains(remove, tag) {
			in.add("Remove", fmt.Sprintf("%q stands in both lines: leave it in one", tag))
		}
	}
	if len(add)+len(remove) == 0 {
		in.add("Add", "give a tag, or several with commas between them: sent, to check")
	}
	return in.wrong
}

// Tag changes the tags of takes, of all or of none. Where a line cannot be used nothing
// is changed and the lines are returned.
func (d *Desk) Tag(ctx context.Context, ids []string, f TagForm) ([]Field, error) {
	if wrong := CheckTags(f); len(wrong) > 0 {
		return wrong, nil
	}
	if err := d.parts.Records.Tag(d.by(ctx), ids, listed(f.Add), listed(f.Remove)); err != nil {
		return nil, d.fail(fmt.Errorf("the tags are not changed: %w", d.gone(err)))
	}
	d.say(fmt.Sprintf("Changed the tags of %s.", plural(len(ids), "take")))
	return nil, errors.Join(d.Refresh(ctx), d.LoadDetail(ctx))
}

// listed are the parts of a list with commas.
func listed(text string) []string {
	var parts []string
	for part := range strings.SplitSeq(text, ",") {
		if part = strings.Join(strings.Fields(part), " "); part != "" && !slices.Contains(parts, part) {
			parts = append(parts, part)
		}
	}
	return parts
}

// AddNote writes a note about the take that is looked at; a search finds it.
func (d *Desk) AddNote(ctx context.Context, text string) error {
	id := d.State().Listing.Chosen.ID
	switch text = strings.TrimSpace(text); {
	case id == "":
		return d.fail(errors.New("no take is chosen: choose the one that the note is about"))
	case text == "":
		return d.fail(errors.New("the note is empty: write something"))
	}
	if err := d.parts.Records.AddNote(d.by(ctx), records.AboutTake(id), text); err != nil {
		return d.fail(fmt.Errorf("the note is not kept: %w", d.gone(err)))
	}
	d.say("The note is kept.")
	return d.LoadDetail(ctx)
}

// SetCompare tells the desk where takes are compared; nil: nowhere.
func (d *Desk) SetCompare(compare func(ctx context.Context, ids []string) error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.compare = compare
}

// CanCompare tells whether there is a place to compare takes.
func (d *Desk) CanCompare() bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.compare != nil
}

// CompareTakes lays takes side by side. Where there is no place for it, it says so.
func (d *Desk) CompareTakes(ctx context.Context, ids []string) error {
	d.mu.Lock()
	compare := d.compare
	d.mu.Unlock()
	switch {
	case compare == nil:
		return d.fail(errors.New("takes cannot be compared in this window yet: stillroom compare does it on the command line"))
	case len(ids) == 0:
		return d.fail(errors.New("no take is selected: select those to compare"))
	}
	return d.fail(compare(ctx, ids))
}
