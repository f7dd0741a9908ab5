package records

// schemaSteps are the SQL texts that make the tables, in order. A step that was
// released is never changed: each file remembers the checksum of what it ran. A
// change is a new step at the end.
//
// Times are microseconds since 1970, UTC. NULL means not known.
func schemaSteps() []string {
	return []string{schema1}
}

const schema1 = `
CREATE TABLE take (
	id              TEXT PRIMARY KEY,
	at_us           INTEGER NOT NULL,
	person          TEXT NOT NULL,
	model           TEXT NOT NULL,
	serial          TEXT NOT NULL,
	batch           TEXT NOT NULL,
	angle_deg       REAL NOT NULL,
	note            TEXT NOT NULL,
	rig             TEXT NOT NULL,
	version         TEXT NOT NULL,
	search          TEXT NOT NULL, -- all that a search looks at, in lower case
	worst           TEXT NOT NULL, -- severity of the worst finding, or empty
	mean_db         REAL,
	curve           BLOB NOT NULL, -- little-endian float32, dB
	document        BLOB NOT NULL, -- the take without its samples, JSON
	document_sha256 BLOB NOT NULL,
	deleted_us      INTEGER
);
CREATE INDEX take_by_time ON take (at_us DESC, id DESC) WHERE deleted_us IS NULL;

CREATE TABLE recording (
	take_id  TEXT PRIMARY KEY REFERENCES take (id),
	channels INTEGER NOT NULL,
	frames   INTEGER NOT NULL,
	sha256   BLOB NOT NULL, -- of the raw samples
	packed   BLOB NOT NULL
);

CREATE TABLE rig (
	name       TEXT PRIMARY KEY,
	changed_us INTEGER NOT NULL,
	document   BLOB NOT NULL -- JSON
);

CREATE TABLE event (
	number  INTEGER PRIMARY KEY AUTOINCREMENT,
	take_id TEXT NOT NULL REFERENCES take (id),
	at_us   INTEGER NOT NULL,
	who     TEXT NOT NULL,
	what    TEXT NOT NULL
);
CREATE INDEX event_by_take ON event (take_id, number);
`
