-- Numbers that were given last. One is never given again, not even after what had it is gone: pages and programs may know it.
CREATE TABLE number (
	what TEXT PRIMARY KEY, -- a table
	last INTEGER NOT NULL
) WITHOUT ROWID;
INSERT INTO number SELECT 'alert', coalesce(max(id), 0) FROM alert;
INSERT INTO number SELECT 'chart', coalesce(max(id), 0) FROM chart;
CREATE TRIGGER alert_number AFTER INSERT ON alert BEGIN
	UPDATE number SET last = new.id WHERE what = 'alert' AND last < new.id;
END;
CREATE TRIGGER chart_number AFTER INSERT ON chart BEGIN
	UPDATE number SET last = new.id WHERE what = 'chart' AND last < new.id;
END;

ALTER TABLE alert ADD COLUMN acknowledged INTEGER NOT NULL DEFAULT 0; -- when; 0: it is not
ALTER TABLE alert ADD COLUMN acknowledged_by TEXT NOT NULL DEFAULT '';
CREATE INDEX alert_unacknowledged ON alert (id) WHERE acknowledged = 0;

-- Versions of a chart are rows of one family, which is the number of the first. All have the times of the first; one of them has
-- the video, from which each can be drawn again.
ALTER TABLE chart ADD COLUMN family INTEGER NOT NULL DEFAULT 0;
ALTER TABLE chart ADD COLUMN latest INTEGER NOT NULL DEFAULT 1;     -- of its family
ALTER TABLE chart ADD COLUMN drawn_from INTEGER NOT NULL DEFAULT 0; -- chart, or 0: it was drawn as it was received
ALTER TABLE chart ADD COLUMN changes TEXT NOT NULL DEFAULT '';      -- JSON: what is changed in the drawing of the video; or ''
ALTER TABLE chart ADD COLUMN made INTEGER NOT NULL DEFAULT 0;       -- when it was drawn by hand, or 0

-- What charts are listed by, from their transmission, so that one index does for each list.
ALTER TABLE chart ADD COLUMN shown_title TEXT NOT NULL DEFAULT ''; -- its own title, or that of its transmission
ALTER TABLE chart ADD COLUMN receiver TEXT NOT NULL DEFAULT '';
ALTER TABLE chart ADD COLUMN rating INTEGER NOT NULL DEFAULT 0;
ALTER TABLE chart ADD COLUMN favourite INTEGER NOT NULL DEFAULT 0;
UPDATE chart SET family = id;
UPDATE chart SET shown_title = iif(chart.title = '', t.title, chart.title), receiver = t.receiver, rating = t.rating, favourite = t.favourite
	FROM transmission t WHERE t.id = chart.transmission;
CREATE TRIGGER chart_listed AFTER UPDATE OF title, receiver, rating, favourite ON transmission
WHEN old.title <> new.title OR old.receiver <> new.receiver OR old.rating <> new.rating OR old.favourite <> new.favourite BEGIN
	UPDATE chart SET shown_title = iif(title = '', new.title, title), receiver = new.receiver, rating = new.rating, favourite = new.favourite
		WHERE transmission = new.id;
END;
CREATE INDEX chart_family ON chart (family);
CREATE INDEX chart_newest ON chart (begun, id, shown_title, receiver, quality, rating, favourite) WHERE latest;
CREATE INDEX chart_title ON chart (shown_title, begun, id, receiver, quality, rating, favourite) WHERE latest;
DROP INDEX chart_transmission;
CREATE INDEX chart_transmission ON chart (transmission, latest, begun, id);

-- What was on the air in a time: few transmissions are longer than a day, and all others began less than a day before.
CREATE INDEX transmission_long ON transmission (begun) WHERE ended - begun > 86400000;
CREATE INDEX transmission_band ON transmission (begun, ended, receiver, mode, hz, snr) WHERE state <> 0 AND on_air;
-- When receivers were heard.
CREATE INDEX incident_heard ON incident (receiver, at) WHERE what IN ('started', 'stopped');
