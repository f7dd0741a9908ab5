package database

import (
	"errors"
	"syscall"

	"github.com/mattn/go-sqlite3"

	"stillroom/app/records"
)

// cause sorts a result code (https://sqlite.org/rescode.html).
func (lite) cause(err error) (advice string, kind error) {
	var code sqlite3.Error
	if !errors.As(err, &code) {
		return "", nil
	}
	switch code.Code {
	case sqlite3.ErrNotADB:
		return "name another file", records.ErrNotRecords
	case sqlite3.ErrBusy, sqlite3.ErrLocked:
		return "wait until it has finished, or end it, and try again", records.ErrBusy
	case sqlite3.ErrReadonly, sqlite3.ErrCantOpen, sqlite3.ErrPerm, sqlite3.ErrAuth:
		return "allow writing to the file and its folder, or name another file", records.ErrReadOnly
	case sqlite3.ErrFull:
		return fullAdvice, records.ErrFull
	case sqlite3.ErrIoErr:
		if isFull(code.SystemErrno) {
			return fullAdvice, records.ErrFull
		}
		return "the disk does not answer as it should: check it, and keep a copy of the file", nil
	case sqlite3.ErrCorrupt:
		return "put back a copy of the file that was made before", records.ErrDamaged
	}
	return "", nil
}

const fullAdvice = "make room on it and try again; what was kept before is safe"

// isFull tells whether a system error says that there is no room: on the disk, in the
// quota of the person, or in the longest file that is allowed. SQLite calls the last
// two an error of input and output.
func isFull(errno syscall.Errno) bool {
	return errno == syscall.ENOSPC || errno == syscall.EDQUOT || errno == syscall.EFBIG
}

// isBusy tells whether another program holds the lock.
func isBusy(err error) bool {
	var code sqlite3.Error
	return errors.As(err, &code) && (code.Code == sqlite3.ErrBusy || code.Code == sqlite3.ErrLocked)
}

// isDuplicate implements engine.
func (lite) isDuplicate(err error) bool {
	var code sqlite3.Error
	return errors.As(err, &code) &&
		(code.ExtendedCode == sqlite3.ErrConstraintPrimaryKey || code.ExtendedCode == sqlite3.ErrConstraintUnique)
}
