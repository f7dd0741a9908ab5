package database

// steps implements engine. A step that was released is never changed: each schema
// remembers the checksum of what it ran. A change is a new step at the end.
//
// Texts are compared byte by byte, as in SQLite, so that both list in one order.
// Times are microseconds since 1970, UTC. NULL means not known.
func (server) steps() []string { return []string{serverSchema1} }

// serverSchema1 is what liteSchema2 comes to.
const serverSchema1 = `
CREATE TABLE take (
	number     bigint PRIMARY KEY,    -- sorts as the time, and is nobody else's
	id         text COLLATE "C" NOT NULL UNIQUE,
	at_us      bigint NOT NULL,
	person     text COLLATE "C" NOT NULL,
	model      text COLLATE "C" NOT NULL,
	serial     text COLLATE "C" NOT NULL,
	batch      text COLLATE "C" NOT NULL,
	angle_deg  double precision NOT NULL,
	note       text COLLATE "C" NOT NULL,
	rig        text COLLATE "C" NOT NULL,
	version    text COLLATE "C" NOT NULL,
	place      text COLLATE "C" NOT NULL,
	side       text COLLATE "C" NOT NULL,
	series     text COLLATE "C" NOT NULL,
	worst      text COLLATE "C" NOT NULL, -- severity of the worst finding, or empty
	mean_db    double precision,
	mean_unit  text COLLATE "C" NOT NULL, -- of mean_db and curve: dB re what; empty: not known
	curve      bytea NOT NULL,        -- little-endian float32, dB
	bytes      bigint NOT NULL,       -- of the packed recording; 0: shed
	deleted_us bigint
);
CREATE INDEX take_by_serial ON take (serial, model, number DESC, deleted_us);
CREATE INDEX take_by_model ON take (model, serial, number DESC, deleted_us);
CREATE INDEX take_by_batch ON take (batch, number DESC, deleted_us);
CREATE INDEX take_by_place ON take (place, number DESC, deleted_us);
CREATE INDEX take_by_level ON take (mean_db DESC NULLS LAST, number DESC, deleted_us);
CREATE INDEX take_by_series ON take (series, number) WHERE series <> '';

CREATE TABLE take_document (
	take_id text COLLATE "C" PRIMARY KEY REFERENCES take (id),
	sha256  bytea NOT NULL, -- of body
	body    bytea NOT NULL  -- the take without its samples: JSON, in a zstd frame where it is long
);

CREATE TABLE recording (
	take_id  text COLLATE "C" PRIMARY KEY REFERENCES take (id),
	channels integer NOT NULL,
	frames   bigint NOT NULL,
	sha256   bytea NOT NULL, -- of the raw samples
	packed   bytea NOT NULL
);
ALTER TABLE recording ALTER COLUMN packed SET STORAGE EXTERNAL; -- it is packed already

CREATE TABLE find (
	number  bigint PRIMARY KEY,         -- of the take
	unit    bigint,                     -- number of its unit
	deleted integer NOT NULL DEFAULT 0,
	words   text COLLATE "C" NOT NULL   -- of the take, a line feed before and after each
);
CREATE INDEX find_by_unit ON find (unit, deleted, number);
CREATE INDEX find_by_time ON find (deleted, number);

CREATE TABLE word ( -- of a take; those of a deleted one begin with ~
	word   text COLLATE "C" NOT NULL,
	number bigint NOT NULL,
	PRIMARY KEY (word, number)
) WITH (autovacuum_vacuum_insert_scale_factor = 0, autovacuum_vacuum_insert_threshold = 200000);

CREATE TABLE unit (
	number  bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	model   text COLLATE "C" NOT NULL,
	serial  text COLLATE "C" NOT NULL,
	batch   text COLLATE "C" NOT NULL,
	status  text COLLATE "C" NOT NULL,
	note    text COLLATE "C" NOT NULL,
	version integer NOT NULL,
	at_us   bigint NOT NULL, -- of the last change
	who     text COLLATE "C" NOT NULL,
	more    bytea NOT NULL,  -- JSON
	UNIQUE (model, serial)
);
CREATE INDEX unit_by_status ON unit (status, number);

CREATE TABLE document (
	kind       text COLLATE "C" NOT NULL,
	name       text COLLATE "C" NOT NULL,
	version    integer NOT NULL,
	at_us      bigint NOT NULL, -- of the last change
	who        text COLLATE "C" NOT NULL,
	body       bytea NOT NULL,  -- JSON
	deleted_us bigint,
	PRIMARY KEY (kind, name)
);

CREATE TABLE tag (
	take_id text COLLATE "C" NOT NULL REFERENCES take (id),
	tag     text COLLATE "C" NOT NULL,
	PRIMARY KEY (tag, take_id)
);
CREATE INDEX tag_by_take ON tag (take_id);

CREATE TABLE note (
	number  bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	kind    text COLLATE "C" NOT NULL,
	subject text COLLATE "C" NOT NULL,
	at_us   bigint NOT NULL,
	who     text COLLATE "C" NOT NULL,
	text    text COLLATE "C" NOT NULL
);
CREATE INDEX note_by_subject ON note (kind, subject, number);

CREATE TABLE counter (
	name text COLLATE "C" PRIMARY KEY,
	next bigint NOT NULL
);

CREATE TABLE event (
	number  bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	kind    text COLLATE "C" NOT NULL,
	subject text COLLATE "C" NOT NULL,
	at_us   bigint NOT NULL,
	who     text COLLATE "C" NOT NULL,
	what    text COLLATE "C" NOT NULL,
	detail  text COLLATE "C" NOT NULL,
	body    bytea -- of a document, as it was from then on
);
CREATE INDEX event_by_subject ON event (kind, subject, number);
`
