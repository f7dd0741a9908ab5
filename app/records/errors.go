package records

import "errors"

// Errors that callers tell apart. Each is wrapped with what happened and what to do.
var (
	ErrNoTake     = errors.New("no such take")
	ErrNoUnit     = errors.New("no such unit")
	ErrNoDocument = errors.New("nothing is kept under this name")
	ErrExists     = errors.New("it is kept already")
	ErrChanged    = errors.New("somebody else has changed it meanwhile")
	ErrDamaged    = errors.New("it is damaged")

	ErrNewer      = errors.New("the records were written by a newer version")
	ErrNotRecords = errors.New("these are not records of this program")
	ErrNotAllowed = errors.New("this login may not do that")

	ErrAway     = errors.New("the server cannot be reached")
	ErrBusy     = errors.New("the records are locked by another program")
	ErrReadOnly = errors.New("the records cannot be written")
	ErrFull     = errors.New("the disk is full")
)

// Unreachable tells whether an error is about the place and not about what was to be
// done there: the same can succeed later.
func Unreachable(err error) bool {
	for _, kind := range []error{ErrAway, ErrBusy, ErrReadOnly, ErrFull} {
		if errors.Is(err, kind) {
			return true
		}
	}
	return false
}
