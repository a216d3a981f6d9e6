-- The outbox of alerts. What an alert says is JSON, as it is sent.
CREATE TABLE alert (
	id   INTEGER PRIMARY KEY,
	rule TEXT NOT NULL,
	made INTEGER NOT NULL,
	text TEXT NOT NULL
);
CREATE INDEX alert_made ON alert (made);

CREATE TABLE delivery (
	id         INTEGER PRIMARY KEY,
	alert      INTEGER NOT NULL REFERENCES alert (id),
	way        TEXT NOT NULL,
	state      TEXT NOT NULL,
	due        INTEGER NOT NULL,
	attempts   INTEGER NOT NULL,
	maybe_sent INTEGER NOT NULL,
	changed    INTEGER NOT NULL,
	reply      TEXT NOT NULL
);
CREATE INDEX delivery_alert ON delivery (alert);
CREATE INDEX delivery_due ON delivery (due) WHERE state = 'pending';

-- What is held back of each rule that ever had an alert.
CREATE TABLE held (
	rule   TEXT PRIMARY KEY,
	last   INTEGER NOT NULL,
	count  INTEGER NOT NULL,
	latest TEXT NOT NULL -- JSON, or ''
) WITHOUT ROWID;
