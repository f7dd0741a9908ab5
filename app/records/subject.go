package records

import (
	"net/url"
	"strings"
	"time"
)

// Subject is what a note or an event is about: a take, a unit or a document.
type Subject struct {
	Kind Kind
	ID   string // of a take; of a unit as UnitID.String; the name of a document
}

// AboutTake, AboutUnit and AboutDocument name a subject.
func AboutTake(id string) Subject { return Subject{TakeKind, id} }

// AboutUnit names a unit as a subject.
func AboutUnit(id UnitID) Subject { return Subject{UnitKind, id.String()} }

// AboutDocument names a document as a subject.
func AboutDocument(kind Kind, name string) Subject { return Subject{kind, name} }

// String is model and serial in one text that can be taken apart: escaped as parts
// of a path (RFC 3986), with a slash between them.
func (id UnitID) String() string { return url.PathEscape(id.Model) + "/" + url.PathEscape(id.Serial) }

// UnitOf is the unit that a subject names; false where it names none.
func (s Subject) UnitOf() (UnitID, bool) {
	model, serial, found := strings.Cut(s.ID, "/")
	if s.Kind != UnitKind || !found {
		return UnitID{}, false
	}
	var errs [2]error
	model, errs[0] = url.PathUnescape(model)
	serial, errs[1] = url.PathUnescape(serial)
	return UnitID{model, serial}, errs[0] == nil && errs[1] == nil
}

// Event is one thing that was done with a subject.
type Event struct {
	At     time.Time // UTC
	Who    string
	What   What
	Detail string // in words: "status prototype → failed"; may be empty
	Body   []byte // of a document: as it was from then on
}

// What says what was done.
type What string

// What can be done.
const (
	WasKept     What = "keep"
	WasChanged  What = "change"
	WasDeleted  What = "delete"
	WasRestored What = "restore"
	WasTagged   What = "tag"
	WasShed     What = "shed"
)

// NoteEntry is one note.
type NoteEntry struct {
	At   time.Time // UTC
	Who  string
	Text string
}

// Change tells that something was changed. An empty Kind says only that.
type Change Subject
