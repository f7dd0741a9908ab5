package database

// steps implements engine. A step that was released is never changed: each file
// remembers the checksum of what it ran. A change is a new step at the end.
//
// Times are microseconds since 1970, UTC. NULL means not known.
func (lite) steps() []string { return []string{liteSchema1, liteSchema2} }

const liteSchema1 = `
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

// liteSchema2 moves what is long out of the take, so that a list never reads it, and
// gives units, notes, tags, counters and all documents their places.
const liteSchema2 = `
PRAGMA defer_foreign_keys = ON;
CREATE TABLE take_before AS SELECT * FROM take;
DROP TABLE take;
CREATE TABLE take (
	number     INTEGER PRIMARY KEY,  -- sorts as the time, and is nobody else's
	id         TEXT NOT NULL UNIQUE,
	at_us      INTEGER NOT NULL,
	person     TEXT NOT NULL,
	model      TEXT NOT NULL,
	serial     TEXT NOT NULL,
	batch      TEXT NOT NULL,
	angle_deg  REAL NOT NULL,
	note       TEXT NOT NULL,
	rig        TEXT NOT NULL,
	version    TEXT NOT NULL,
	place      TEXT NOT NULL,
	side       TEXT NOT NULL,
	series     TEXT NOT NULL,
	worst      TEXT NOT NULL,        -- severity of the worst finding, or empty
	mean_db    REAL,
	mean_unit  TEXT NOT NULL,        -- of mean_db and curve: dB re what; empty: not known
	curve      BLOB NOT NULL,        -- little-endian float32, dB
	bytes      INTEGER NOT NULL,     -- of the packed recording; 0: shed
	deleted_us INTEGER
);
INSERT INTO take
	SELECT at_us * 1024 + row_number() OVER (PARTITION BY at_us ORDER BY id) - 1, id, at_us, person, model, serial, batch,
		angle_deg, note, rig, version,
		printf('%g°, %.2f m', angle_deg, json_extract(CAST(document AS TEXT), '$.Rig.DistanceM')), '', '',
		worst, mean_db, '', curve, (SELECT length(packed) FROM recording WHERE take_id = id), deleted_us
	FROM take_before;
CREATE INDEX take_by_serial ON take (serial, model, number DESC, deleted_us);
CREATE INDEX take_by_model ON take (model, serial, number DESC, deleted_us);
CREATE INDEX take_by_batch ON take (batch, number DESC, deleted_us);
CREATE INDEX take_by_place ON take (place, number DESC, deleted_us);
CREATE INDEX take_by_level ON take (mean_db DESC, number DESC, deleted_us);
CREATE INDEX take_by_series ON take (series, number) WHERE series <> '';

CREATE TABLE take_document (
	take_id TEXT PRIMARY KEY REFERENCES take (id),
	sha256  BLOB NOT NULL, -- of body
	body    BLOB NOT NULL  -- the take without its samples: JSON, in a zstd frame where it is long
);
INSERT INTO take_document SELECT id, document_sha256, document FROM take_before;
DROP TABLE take_before;

CREATE TABLE find (
	number  INTEGER PRIMARY KEY,        -- of the take
	unit    INTEGER,                    -- number of its unit
	deleted INTEGER NOT NULL DEFAULT 0,
	words   TEXT NOT NULL               -- of the take, a line feed before and after each
);
CREATE INDEX find_by_unit ON find (unit, deleted, number);
CREATE INDEX find_by_time ON find (deleted, number);

CREATE TABLE word ( -- of a take; those of a deleted one begin with ~
	word   TEXT NOT NULL,
	number INTEGER NOT NULL,
	PRIMARY KEY (word, number)
) WITHOUT ROWID;

CREATE TABLE unit (
	number  INTEGER PRIMARY KEY,
	model   TEXT NOT NULL,
	serial  TEXT NOT NULL,
	batch   TEXT NOT NULL,
	status  TEXT NOT NULL,
	note    TEXT NOT NULL,
	version INTEGER NOT NULL,
	at_us   INTEGER NOT NULL, -- of the last change
	who     TEXT NOT NULL,
	more    BLOB NOT NULL,    -- JSON
	UNIQUE (model, serial)
);
CREATE INDEX unit_by_status ON unit (status, number);
INSERT INTO unit (model, serial, batch, status, note, version, at_us, who, more)
	SELECT model, serial, batch, 'prototype', '', 1, min(at_us), person, CAST('{}' AS BLOB)
	FROM take WHERE serial <> '' GROUP BY model, serial;

CREATE TABLE document (
	kind       TEXT NOT NULL,
	name       TEXT NOT NULL,
	version    INTEGER NOT NULL,
	at_us      INTEGER NOT NULL, -- of the last change
	who        TEXT NOT NULL,
	body       BLOB NOT NULL,    -- JSON
	deleted_us INTEGER,
	PRIMARY KEY (kind, name)
);
INSERT INTO document SELECT 'rig', name, 1, changed_us, '', document, NULL FROM rig;
DROP TABLE rig;

CREATE TABLE tag (
	take_id TEXT NOT NULL REFERENCES take (id),
	tag     TEXT NOT NULL,
	PRIMARY KEY (tag, take_id)
);
CREATE INDEX tag_by_take ON tag (take_id);

CREATE TABLE note (
	number  INTEGER PRIMARY KEY AUTOINCREMENT,
	kind    TEXT NOT NULL,
	subject TEXT NOT NULL,
	at_us   INTEGER NOT NULL,
	who     TEXT NOT NULL,
	text    TEXT NOT NULL
);
CREATE INDEX note_by_subject ON note (kind, subject, number);

CREATE TABLE counter (
	name TEXT PRIMARY KEY,
	next INTEGER NOT NULL
);

CREATE TABLE happened (
	number  INTEGER PRIMARY KEY AUTOINCREMENT,
	kind    TEXT NOT NULL,
	subject TEXT NOT NULL,
	at_us   INTEGER NOT NULL,
	who     TEXT NOT NULL,
	what    TEXT NOT NULL,
	detail  TEXT NOT NULL,
	body    BLOB -- of a document, as it was from then on
);
INSERT INTO happened (number, kind, subject, at_us, who, what, detail)
	SELECT number, 'take', take_id, at_us, who, what, '' FROM event;
DROP TABLE event;
ALTER TABLE happened RENAME TO event;
CREATE INDEX event_by_subject ON event (kind, subject, number);
`
