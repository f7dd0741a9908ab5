// Package records holds the words and the rules of what a workshop keeps: takes,
// units, rigs and the other documents, with their notes and their history. Package
// app/records/database is the maker of a Store in SQLite and in PostgreSQL.
//
// A take counts as kept when Keep has returned without an error. From then on it
// survives the death of the program at any moment.
package records

import (
	"context"
	"iter"

	"stillroom/app/take"
)

// Store is one place where a workshop's records are. Implementations are safe for
// use from several goroutines, and several programs may use one place at once.
//
// What people change is never overwritten unseen: each unit and document carries a
// version, and a change made to an older one than is kept fails with ErrChanged.
// What is deleted comes back with Restore. Who did what is in the history; who acts
// is named by By.
//
// Each error says what happened and what to do. Where the place cannot be reached
// (server gone, disk full, locked, not writable) it is ErrAway, ErrFull, ErrBusy or
// ErrReadOnly, and Unreachable tells so. After ErrAway nobody knows whether the
// last change arrived; to keep the same take again either keeps it or says ErrExists.
type Store interface {
	// Keep writes takes with their recordings and summaries, all or nothing. A take
	// whose ID is there already, deleted or not, is refused with ErrExists. A take
	// with a serial number makes its unit where there is none, with status Prototype.
	Keep(ctx context.Context, takes ...Kept) error

	// Take reads a take with its recording, or with the impulse responses that it
	// carries where the recording was shed. It fails with ErrNoTake where there is
	// none or it is deleted, and with ErrDamaged where a checksum does not agree.
	Take(ctx context.Context, id string) (*take.Take, error)

	// List returns the takes that a query asks for. Equal queries list in one order.
	List(ctx context.Context, q Query) ([]Row, error)

	// Count returns how many takes of how many units a query finds, its Limit,
	// Offset and order left out. It stops after most takes (0: never) and says so.
	Count(ctx context.Context, q Query, most int) (Counted, error)

	// Delete takes takes out of the lists, Restore brings them back: all of them or
	// none. Both fail with ErrNoTake where one is not there to act on.
	Delete(ctx context.Context, ids ...string) error
	Restore(ctx context.Context, ids ...string) error

	// Tag adds tags to takes and removes others, all or nothing. To add one that is
	// there, or to remove one that is not, changes nothing. ErrNoTake.
	Tag(ctx context.Context, ids []string, add, remove []string) error

	// Tags returns the tags that takes carry, deleted ones left out, by name.
	Tags(ctx context.Context) ([]string, error)

	// Models returns the names of the models that takes carry, deleted ones left out,
	// by name. It costs little also where there are many takes.
	Models(ctx context.Context) ([]string, error)

	// Shed replaces the recording of a kept take by t, which has none and carries
	// its impulse responses instead. It cannot be undone: Restore does not bring the
	// recording back. ErrNoTake.
	Shed(ctx context.Context, t *take.Take) error

	// Unit reads one unit (ErrNoUnit). KeepUnit writes one: Version 0 makes a new one
	// (ErrExists where its model has the serial already), another version changes
	// that version (ErrChanged where another is kept by now). It returns the unit as
	// it is kept, with its new version.
	Unit(ctx context.Context, id UnitID) (Unit, error)
	KeepUnit(ctx context.Context, u Unit) (Unit, error)

	// Units returns the units that a query asks for, in the order of their models
	// and serials.
	Units(ctx context.Context, q UnitQuery) ([]Unit, error)

	// Allot hands out the next number of a counter: first, first + 1 … It hands out
	// none twice, also to several programs at once; one may be left out where the
	// asking program died.
	Allot(ctx context.Context, counter string, first int) (int, error)

	// Document reads one document (ErrNoDocument), Documents all of a kind by name,
	// deleted ones left out. A Shelf knows what is in them.
	Document(ctx context.Context, kind Kind, name string) (Document, error)
	Documents(ctx context.Context, kind Kind) ([]Document, error)

	// KeepDocument writes a document; its Version works as that of KeepUnit. Version
	// 0 under the name of a deleted one begins where that one ended.
	KeepDocument(ctx context.Context, d Document) (Document, error)

	// DeleteDocument takes a document out of the lists, RestoreDocument brings it
	// back. Both fail with ErrNoDocument.
	DeleteDocument(ctx context.Context, kind Kind, name string) error
	RestoreDocument(ctx context.Context, kind Kind, name string) error

	// AddNote writes a note about a take, a unit or a document; Notes reads them,
	// oldest first. Notes are added to, never changed.
	AddNote(ctx context.Context, about Subject, text string) error
	Notes(ctx context.Context, about Subject) ([]NoteEntry, error)

	// History returns what was done with a take, a unit or a document, oldest first.
	History(ctx context.Context, about Subject) ([]Event, error)

	// Watch tells of changes that this or another program made, within 2 s, until
	// ctx ends; then the channel is closed. A Change with an empty Kind says only
	// that something changed. One who reads slowly is told less exactly, never less.
	Watch(ctx context.Context) (<-chan Change, error)

	// Everything walks over all that is kept as it was at one moment, what is
	// deleted and the history included: counters, documents, units, then takes by ID.
	// A thing that cannot be read comes with its error (ErrDamaged), and the walk
	// goes on after it; any other error ends the walk.
	Everything(ctx context.Context) iter.Seq2[Whole, error]

	// Import writes things of another store as they were there, with their times,
	// persons, versions, notes and history, all or nothing; By has no part in it.
	// What is there already is ErrExists; a counter only moves on.
	Import(ctx context.Context, things ...Whole) error

	// Backup writes a copy of all records to a new file at path, which opens as
	// records, while others go on writing. The file appears there when it is whole
	// and was read through. A server answers that it is copied with Everything.
	Backup(ctx context.Context, path string) error

	// Where names the place for people, without a password.
	Where() string

	Close() error
}
