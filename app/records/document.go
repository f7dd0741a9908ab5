package records

import "time"

// Kind is a kind of thing that is kept: of a document, or of a Subject.
type Kind string

// The kinds. Those from RigKind on are kinds of documents.
const (
	TakeKind Kind = "take"
	UnitKind Kind = "unit"

	RigKind       Kind = "rig"
	ModelKind     Kind = "model"
	ReferenceKind Kind = "reference"
	BoardKind     Kind = "board"
)

// DocumentKinds lists the kinds of documents.
func DocumentKinds() []Kind { return []Kind{RigKind, ModelKind, ReferenceKind, BoardKind} }

// Document is a named thing that the store keeps without knowing what is in it.
type Document struct {
	Kind    Kind
	Name    string
	Version int       // 0: not kept yet
	At      time.Time // of the last change, UTC
	Who     string    // made it
	Body    []byte    // JSON
}
