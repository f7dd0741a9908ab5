// Package records keeps takes: the raw recording bit for bit, all that is needed
// to analyse it again, and a summary that a list can draw without touching it.
//
// A take counts as kept when Keep has returned without an error. From then on it
// survives the death of the program at any moment.
package records

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"stillroom/app/rig"
	"stillroom/app/take"
)

// Store is one place where takes and rigs are kept. Implementations are safe for
// use from several goroutines, and several programs may use one place at once.
//
// Each error says what happened and what to do.
type Store interface {
	// Keep writes a take with its recording and its summary, all or nothing. A
	// take whose ID is there already is refused with ErrExists.
	Keep(ctx context.Context, t *take.Take, s Summary) error

	// Take reads a take with its recording. It fails with ErrNoTake where there is
	// none or it is deleted, and with ErrDamaged where a checksum does not agree.
	Take(ctx context.Context, id string) (*take.Take, error)

	// List returns the takes that a query asks for, newest first.
	List(ctx context.Context, q Query) ([]Row, error)

	// Count returns how many takes a query finds, its Limit and Offset left out.
	Count(ctx context.Context, q Query) (int, error)

	// Delete takes a take out of the lists. Nothing of it is lost: Restore brings
	// it back. Both fail with ErrNoTake where there is nothing to act on.
	Delete(ctx context.Context, id string) error
	Restore(ctx context.Context, id string) error

	// KeepRig writes a rig under its name, in place of one of the same name.
	KeepRig(ctx context.Context, r rig.Rig) error

	// Rigs returns all rigs by name.
	Rigs(ctx context.Context) ([]rig.Rig, error)

	// Rig and DeleteRig fail with ErrNoRig where there is none of that name.
	Rig(ctx context.Context, name string) (rig.Rig, error)
	DeleteRig(ctx context.Context, name string) error

	// History returns what was done with a take, oldest first.
	History(ctx context.Context, id string) ([]Event, error)

	// Where names the place for people, without a password.
	Where() string

	Close() error
}

// Summary is what a list shows of a take. It is derived: the take itself stays
// the only truth.
type Summary struct {
	Worst  take.Severity // the worst finding; empty where there is none
	MeanDB float64       // mean level re the stimulus; NaN where it cannot be known
	Curve  []float32     // the response in small, dB, at most CurvePoints; NaN is a gap
}

// CurvePoints is how many points the small curve of a Summary may have.
const CurvePoints = 96

// Query chooses takes.
type Query struct {
	Search string // words that must all occur in model, serial, batch, note or person, in any case
	Limit  int    // 0: all
	Offset int
}

// Row is one line of a list.
type Row struct {
	ID      string
	At      time.Time // UTC
	Person  string
	Subject take.Subject
	Rig     string // name
	Version string // of the program that recorded it
	Summary
}

// Event is one thing that was done with a take.
type Event struct {
	At   time.Time // UTC
	Who  string
	What string // "keep", "delete" or "restore"
}

// Errors that callers tell apart. Each is wrapped with what happened and what to do.
var (
	ErrNoTake     = errors.New("no such take")
	ErrNoRig      = errors.New("no such rig")
	ErrExists     = errors.New("this take is kept already")
	ErrDamaged    = errors.New("the take is damaged")
	ErrNewer      = errors.New("the records were written by a newer version")
	ErrNotRecords = errors.New("not a records file")
	ErrBusy       = errors.New("the records are locked by another program")
	ErrReadOnly   = errors.New("the records cannot be written")
	ErrFull       = errors.New("the disk is full")
)

// busyWait is how long a call waits for another program's write.
const busyWait = 10 * time.Second

// Open opens the records that url names, and makes them where there are none.
// url is the path of a file; an address that begins with a scheme is refused as
// long as no maker for it exists.
func Open(ctx context.Context, url string) (Store, error) {
	scheme, _, hasScheme := strings.Cut(url, "://")
	switch {
	case strings.TrimSpace(url) == "":
		return nil, errors.New("no records are named: give the path of a file")
	case scheme == "postgres" || scheme == "postgresql":
		return nil, errors.New("records on a PostgreSQL server are not supported yet: give the path of a file")
	case hasScheme:
		return nil, fmt.Errorf("records at %s:// are not known: give the path of a file", scheme)
	}
	return openSQLite(ctx, url, busyWait)
}

// By returns a context that names the person who acts, for the history of a
// take. Without it the history names the take's own person on Keep, and the
// login name otherwise.
func By(ctx context.Context, person string) context.Context {
	return context.WithValue(ctx, actor{}, person)
}

// actor is the key of By.
type actor struct{}
