package records

import (
	"errors"
	"fmt"
	"io/fs"

	"github.com/mattn/go-sqlite3"
)

// explain turns what the database says into one line that says what happened
// and what to do. doing is a verb: "opening", "keeping the take in".
func explain(path, doing string, err error) error {
	advice, kind := cause(err)
	switch {
	case advice == "":
		return fmt.Errorf("%s %s: %w", doing, path, err)
	case kind == nil || errors.Is(err, kind):
		return fmt.Errorf("%s %s: %w; %s", doing, path, err, advice)
	}
	return fmt.Errorf("%s %s: %w (%w); %s", doing, path, kind, err, advice)
}

// cause sorts an error and says what helps. The kind is nil, and the advice
// empty, for an error that says enough by itself.
func cause(err error) (advice string, kind error) {
	var lite sqlite3.Error
	switch {
	case errors.Is(err, ErrNewer):
		return "install that version, or name another file", ErrNewer
	case errors.Is(err, ErrNotRecords):
		return "name another file", ErrNotRecords
	case errors.Is(err, fs.ErrPermission), errors.Is(err, fs.ErrExist):
		return "allow writing to its folder, or name another file", ErrReadOnly
	case !errors.As(err, &lite):
		return "", nil
	}
	return causeSQLite(lite)
}

// causeSQLite sorts a result code (https://sqlite.org/rescode.html).
func causeSQLite(err sqlite3.Error) (advice string, kind error) {
	switch err.Code {
	case sqlite3.ErrNotADB:
		return "name another file", ErrNotRecords
	case sqlite3.ErrBusy, sqlite3.ErrLocked:
		return "wait until it has finished, or end it, and try again", ErrBusy
	case sqlite3.ErrReadonly, sqlite3.ErrCantOpen, sqlite3.ErrPerm, sqlite3.ErrAuth:
		return "allow writing to the file and its folder, or name another file", ErrReadOnly
	case sqlite3.ErrFull:
		return "make room on it and try again; what was kept before is safe", ErrFull
	case sqlite3.ErrCorrupt:
		return "put back a copy of the file that was made before", ErrDamaged
	case sqlite3.ErrIoErr:
		return "the disk does not answer as it should: check it, and keep a copy of the file", nil
	}
	return "", nil
}

// isBusy tells whether another program holds the lock.
func isBusy(err error) bool {
	var lite sqlite3.Error
	return errors.As(err, &lite) && (lite.Code == sqlite3.ErrBusy || lite.Code == sqlite3.ErrLocked)
}
