package database

import (
	"errors"
	"fmt"
	"io/fs"

	"stillroom/app/records"
)

// explain turns what the engine says into one line that says what happened and what
// to do. doing is a verb: "opening", "keeping the take in".
func (d *database) explain(doing string, err error) error {
	return explain(d.engine, d.place, doing, err)
}

func explain(e engine, place, doing string, err error) error {
	advice, kind := cause(e, err)
	err = e.plain(err)
	switch {
	case advice == "":
		return fmt.Errorf("%s %s: %w", doing, place, err)
	case kind == nil || errors.Is(err, kind):
		return fmt.Errorf("%s %s: %w; %s", doing, place, err, advice)
	}
	return fmt.Errorf("%s %s: %w (%w); %s", doing, place, kind, err, advice)
}

// cause sorts an error and says what helps.
func cause(e engine, err error) (advice string, kind error) {
	switch {
	case errors.Is(err, records.ErrNewer):
		return "install that version, or name other records", records.ErrNewer
	case errors.Is(err, records.ErrNotRecords):
		return "name other records", records.ErrNotRecords
	case errors.Is(err, records.ErrChanged):
		return "read it again and make your change there", records.ErrChanged
	case ours(err):
		return "", nil
	case errors.Is(err, fs.ErrPermission), errors.Is(err, fs.ErrExist):
		return "allow writing to its folder, or name another file", records.ErrReadOnly
	}
	return e.cause(err)
}

// ours tells whether an error was made here and says enough.
func ours(err error) bool {
	for _, kind := range []error{records.ErrNoTake, records.ErrNoUnit, records.ErrNoDocument, records.ErrExists, records.ErrDamaged} {
		if errors.Is(err, kind) {
			return true
		}
	}
	return false
}
