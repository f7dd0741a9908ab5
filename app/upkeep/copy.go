package upkeep

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"stillroom/app/records"
)

// ErrNotEmpty says that there are records already where some were to be copied to.
var ErrNotEmpty = errors.New("there are records already")

// Copied is what a copy did.
type Copied struct {
	Takes, Units, Documents, Counters int
	There                             int      // things that were there already
	Left                              []string // one line each: what could not be read, or is there otherwise and was left as it is
}

// Whole tells whether all of it is there now, as it was.
func (c Copied) Whole() bool { return len(c.Left) == 0 }

// Sizes of what goes over at once.
const (
	batchThings = 200
	batchBytes  = 32 << 20
)

// Copy writes all of a store into another one, of whatever kind: notes, history,
// versions and what is deleted included, as it was at one moment. The other one must
// be empty (ErrNotEmpty), unless resume says that it may have some of it: what is there
// is left as it is then, and told where it differs. A copy that was broken off is gone
// on with so.
func Copy(ctx context.Context, from, to records.Store, resume bool, progress Progress) (Copied, error) {
	var c copying
	if !resume {
		if err := refuseUsed(ctx, to); err != nil {
			return c.Copied, err
		}
	}
	all, err := allOf(ctx, from)
	if err != nil {
		return c.Copied, err
	}
	c.to = to
	for whole, err := range from.Everything(ctx) {
		if errors.Is(err, records.ErrDamaged) {
			c.Left = append(c.Left, err.Error())
			continue
		}
		if err == nil {
			err = c.add(ctx, whole)
		}
		if err != nil {
			return c.Copied, err
		}
		progress.tell(c.Takes+c.waiting(), all)
	}
	if err = c.flush(ctx); err == nil {
		err = settle(ctx, to)
	}
	progress.tell(c.Takes, all)
	return c.Copied, err
}

// settle lets a store that wants it look at what it has now.
func settle(ctx context.Context, store records.Store) error {
	if wants, ok := store.(interface{ Settle(context.Context) error }); ok {
		return wants.Settle(ctx)
	}
	return nil
}

// refuseUsed fails where a store has anything.
func refuseUsed(ctx context.Context, store records.Store) error {
	for w, err := range store.Everything(ctx) {
		if err == nil || errors.Is(err, records.ErrDamaged) {
			_ = w
			return fmt.Errorf("%w at %s: name an empty place, or say that the copy shall go on there", ErrNotEmpty, store.Where())
		}
		return err
	}
	return nil
}

// copying is a copy under way.
type copying struct {
	Copied
	to    records.Store
	batch []records.Whole
	bytes int
}

func (c *copying) waiting() int { return len(c.batch) }

// add puts a thing into the batch, and sends that where it is full.
func (c *copying) add(ctx context.Context, w records.Whole) error {
	c.batch = append(c.batch, w)
	c.bytes += sizeOf(w)
	if len(c.batch) < batchThings && c.bytes < batchBytes {
		return nil
	}
	return c.flush(ctx)
}

// sizeOf is about how many bytes a thing has.
func sizeOf(w records.Whole) int {
	n := 1000
	switch {
	case w.Take != nil:
		for _, row := range w.Take.Take.Capture.Channels {
			n += 4 * len(row)
		}
	case w.Document != nil:
		n += len(w.Document.Body) * (1 + len(w.Events))
	}
	return n
}

// flush sends the batch: as a whole, or thing by thing where some are there.
func (c *copying) flush(ctx context.Context) error {
	batch := c.batch
	c.batch, c.bytes = nil, 0
	if len(batch) == 0 {
		return nil
	}
	err := c.to.Import(ctx, batch...)
	if err == nil {
		for _, w := range batch {
			c.count(w)
		}
		return nil
	}
	if !errors.Is(err, records.ErrExists) {
		return err
	}
	for _, w := range batch {
		if err := c.one(ctx, w); err != nil {
			return err
		}
	}
	return nil
}

// one sends a thing that may be there.
func (c *copying) one(ctx context.Context, w records.Whole) error {
	err := c.to.Import(ctx, w)
	switch {
	case err == nil:
		c.count(w)
		return nil
	case !errors.Is(err, records.ErrExists):
		return err
	}
	same, err := c.sameThere(ctx, w)
	if err != nil {
		return err
	}
	c.There++
	if !same {
		c.Left = append(c.Left, fmt.Sprintf("%s is there in another state, and was left as it is", nameOf(w)))
	}
	return nil
}

// sameThere tells whether what is there under the same name is the same. A take never
// changes but by what it lost, so its ID says enough.
func (c *copying) sameThere(ctx context.Context, w records.Whole) (bool, error) {
	switch {
	case w.Unit != nil:
		there, err := c.to.Unit(ctx, w.Unit.ID())
		return err == nil && sameUnit(there, *w.Unit), err
	case w.Document != nil:
		there, err := c.to.Document(ctx, w.Document.Kind, w.Document.Name)
		if errors.Is(err, records.ErrNoDocument) {
			return !w.Document.DeletedAt.IsZero(), nil
		}
		return err == nil && w.Document.DeletedAt.IsZero() && bytes.Equal(there.Body, w.Document.Body), err
	}
	return true, nil
}

func sameUnit(a, b records.Unit) bool {
	a.At, b.At = a.At.UTC(), b.At.UTC()
	return a == b
}

func nameOf(w records.Whole) string {
	switch {
	case w.Unit != nil:
		return fmt.Sprintf("unit %s %s", w.Unit.Model, w.Unit.Serial)
	case w.Document != nil:
		return fmt.Sprintf("the %s %q", w.Document.Kind, w.Document.Name)
	case w.Take != nil:
		return "take " + w.Take.Take.ID
	}
	return "a counter"
}

func (c *copying) count(w records.Whole) {
	switch {
	case w.Take != nil:
		c.Takes++
	case w.Unit != nil:
		c.Units++
	case w.Document != nil:
		c.Documents++
	case w.Counter != nil:
		c.Counters++
	}
}
