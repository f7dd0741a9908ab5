package records

import (
	"time"
)

// Whole is one thing with all that a store knows of it. Exactly one of Take, Unit,
// Document and Counter is set.
type Whole struct {
	Take     *WholeTake
	Unit     *Unit
	Document *WholeDocument
	Counter  *Counter

	Notes  []NoteEntry // oldest first
	Events []Event
}

// WholeTake is a take with what is kept beside it.
type WholeTake struct {
	Kept
	Tags      []string
	DeletedAt time.Time // zero: it is not deleted
}

// WholeDocument is a document, deleted or not.
type WholeDocument struct {
	Document
	DeletedAt time.Time // zero: it is not deleted
}

// Counter is the state of a counter.
type Counter struct {
	Name string
	Next int // what Allot hands out next
}

// Subject names the thing; a counter is none that notes and events are about.
func (w Whole) Subject() Subject {
	switch {
	case w.Take != nil:
		return AboutTake(w.Take.Take.ID)
	case w.Unit != nil:
		return AboutUnit(w.Unit.ID())
	case w.Document != nil:
		return AboutDocument(w.Document.Kind, w.Document.Name)
	}
	return Subject{}
}
