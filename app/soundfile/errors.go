package soundfile

import (
	"errors"
	"fmt"
	"io/fs"
)

// Kinds of failure that callers may tell apart with errors.Is. A file that is
// missing or may not be read wraps fs.ErrNotExist or fs.ErrPermission instead.
var (
	ErrNotSound    = errors.New("not a sound file")
	ErrUnsupported = errors.New("a kind of sound file that is not read or written")
	ErrDamaged     = errors.New("a damaged sound file")
	ErrNoSamples   = errors.New("a sound file without samples")
	ErrBadSamples  = errors.New("samples that cannot be used")
	ErrNotWritten  = errors.New("a sound file that could not be written")
)

// Error says in one line which file cannot be used, why, and what to do.
type Error struct {
	Path    string // empty where the bytes did not come from a named file
	Problem string // what is wrong
	Remedy  string // what to do
	Kind    error  // one of the errors above, or the system's
}

// Error gives the line.
func (e *Error) Error() string {
	line := e.Problem + "; " + e.Remedy
	if e.Path == "" {
		return line
	}
	return e.Path + ": " + line
}

// Unwrap gives the kind.
func (e *Error) Unwrap() error { return e.Kind }

func notSound(format string, args ...any) error {
	return &Error{
		Problem: fmt.Sprintf(format, args...),
		Remedy:  "choose a WAV, AIFF or FLAC file",
		Kind:    ErrNotSound,
	}
}

func unsupported(format string, args ...any) error {
	return &Error{
		Problem: fmt.Sprintf(format, args...),
		Remedy:  "save it as uncompressed WAV or AIFF, or as FLAC",
		Kind:    ErrUnsupported,
	}
}

// lossy refuses a codec that does not give back the samples it was given.
func lossy(format string, args ...any) error {
	return &Error{
		Problem: fmt.Sprintf(format, args...),
		Remedy:  "its codec changes the signal, so that converting it does not help: record again as WAV, AIFF or FLAC",
		Kind:    ErrUnsupported,
	}
}

func damaged(format string, args ...any) error {
	return &Error{
		Problem: fmt.Sprintf(format, args...),
		Remedy:  "the file is damaged: copy it again from where it was recorded, or record again",
		Kind:    ErrDamaged,
	}
}

func noSamples(format string, args ...any) error {
	return &Error{
		Problem: fmt.Sprintf(format, args...),
		Remedy:  "check that the recording was stopped properly, and record again",
		Kind:    ErrNoSamples,
	}
}

// inFile puts the path to an error, and the system's errors into plain words.
func inFile(path string, err error) error {
	var known *Error
	if errors.As(err, &known) {
		named := *known
		named.Path = path
		return &named
	}
	e := &Error{Path: path, Kind: err}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.Problem, e.Remedy = "there is no such file", "check its name and its folder"
	case errors.Is(err, fs.ErrPermission):
		e.Problem, e.Remedy = "no permission", "change the rights of the file or of its folder, or choose another"
	default:
		e.Problem, e.Remedy = "the system reports: "+cause(err), "check the disk and try again"
	}
	return e
}

// cause is the system's own reason, without the operation and the path.
func cause(err error) string {
	var pathError *fs.PathError
	if errors.As(err, &pathError) {
		return pathError.Err.Error()
	}
	return err.Error()
}
