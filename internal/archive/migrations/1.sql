-- Times are milliseconds since 1970, UTC; 0 is not known. Frequencies are in Hz, strengths in dB in 2500 Hz.

CREATE TABLE transmission (
	id         INTEGER PRIMARY KEY,
	receiver   TEXT NOT NULL,
	source     TEXT NOT NULL,
	mode       TEXT NOT NULL,
	settings   TEXT NOT NULL,
	on_air     INTEGER NOT NULL,
	hz         REAL NOT NULL,
	low_hz     REAL NOT NULL,
	high_hz    REAL NOT NULL,
	begun      INTEGER NOT NULL,
	ended      INTEGER NOT NULL,
	state      INTEGER NOT NULL, -- 0 arriving, 1 complete, 2 cut
	time_from  TEXT NOT NULL,
	snr        REAL NOT NULL,
	copied     INTEGER NOT NULL,
	title      TEXT NOT NULL,
	entry      TEXT NOT NULL,
	notes      TEXT NOT NULL,
	rating     INTEGER NOT NULL,
	favourite  INTEGER NOT NULL,
	quality    REAL NOT NULL,
	lines      INTEGER NOT NULL,
	characters INTEGER NOT NULL,
	doubtful   INTEGER NOT NULL,
	text_bytes INTEGER NOT NULL -- that its lines take, about
);
CREATE INDEX transmission_begun ON transmission (begun);
CREATE INDEX transmission_open ON transmission (id) WHERE state = 0;
CREATE INDEX transmission_favourite ON transmission (receiver, begun) WHERE favourite;

-- The id is transmission << 24 | number.
CREATE TABLE line (
	id    INTEGER PRIMARY KEY,
	begun INTEGER NOT NULL,
	ended INTEGER NOT NULL,
	text  TEXT NOT NULL,
	chars BLOB NOT NULL -- time, confidence, alternatives of each character: chars.go
);

CREATE TABLE level (
	transmission INTEGER NOT NULL,
	at           INTEGER NOT NULL,
	snr          REAL NOT NULL,
	PRIMARY KEY (transmission, at)
) WITHOUT ROWID;

CREATE TABLE chart (
	id            INTEGER PRIMARY KEY,
	transmission  INTEGER NOT NULL,
	title         TEXT NOT NULL,
	entry         TEXT NOT NULL,
	begun         INTEGER NOT NULL,
	ended         INTEGER NOT NULL,
	picture       TEXT NOT NULL UNIQUE, -- path from the station's folder, with slashes
	video         TEXT NOT NULL,        -- or ''
	picture_bytes INTEGER NOT NULL,
	video_bytes   INTEGER NOT NULL,
	quality       REAL NOT NULL,
	info          TEXT NOT NULL,        -- JSON
	thumbnail     BLOB NOT NULL         -- PNG, or empty
);
CREATE INDEX chart_transmission ON chart (transmission);
CREATE INDEX chart_begun ON chart (begun);

CREATE TABLE incident (
	id           INTEGER PRIMARY KEY,
	at           INTEGER NOT NULL,
	what         TEXT NOT NULL,
	receiver     TEXT NOT NULL,
	transmission INTEGER NOT NULL,
	seconds      REAL NOT NULL,
	text         TEXT NOT NULL
);
CREATE INDEX incident_at ON incident (at);

CREATE TABLE expected (
	key          TEXT NOT NULL,
	receiver     TEXT NOT NULL,
	entry        TEXT NOT NULL,
	title        TEXT NOT NULL,
	mode         TEXT NOT NULL,
	hz           REAL NOT NULL,
	at           INTEGER NOT NULL,
	closes       INTEGER NOT NULL,
	outcome      TEXT NOT NULL,
	transmission INTEGER NOT NULL,
	quality      REAL NOT NULL,
	why          TEXT NOT NULL,
	PRIMARY KEY (key, receiver)
);
CREATE INDEX expected_at ON expected (at);

CREATE TABLE deletion (
	id           INTEGER PRIMARY KEY,
	at           INTEGER NOT NULL,
	kind         TEXT NOT NULL,
	path         TEXT NOT NULL, -- of a file, or ''
	transmission INTEGER NOT NULL,
	title        TEXT NOT NULL,
	begun        INTEGER NOT NULL,
	bytes        INTEGER NOT NULL,
	reason       TEXT NOT NULL,
	done         INTEGER NOT NULL -- the file is gone
);
CREATE INDEX deletion_at ON deletion (at);
CREATE INDEX deletion_undone ON deletion (id) WHERE NOT done;
