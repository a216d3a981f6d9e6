package archive

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"path/filepath"
	"time"

	sqlite3 "modernc.org/sqlite/lib"

	"ionoscribe/internal/fault"
)

// Reader reads an archive, also one that a station writes to.
type Reader struct {
	dir  string
	path string // of the database
	mode access
	db   *sql.DB
}

// readers is how many read at a time; more wait.
const readers = 4

// OpenReader opens the archive of a station's folder for reading. Every error is one line for the user.
func OpenReader(dir string) (*Reader, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, failure("open", dir, err)
	}
	r := &Reader{dir: dir, path: filepath.Join(dir, Name)}
	if !exists(r.path) {
		return nil, &fault.Error{Op: "open", Path: r.path, Err: errors.New("it is not there"), Mend: "name the folder of a station with --station"}
	}
	err = r.open(reading)
	// SQLite wants to write beside a database even to read it, but for one that is told not to change.
	if code(err) == sqlite3.SQLITE_CANTOPEN && fileSize(r.path+"-wal") == 0 {
		err = r.open(readStill)
	}
	if err != nil {
		return nil, failure("open", r.path, err)
	}
	return r, nil
}

func (r *Reader) open(mode access) (err error) {
	r.mode = mode
	if r.db, err = openForReading(r.path, mode); err == nil {
		err = r.check()
	}
	if err != nil {
		r.Close()
	}
	return err
}

func (r *Reader) check() error {
	ctx := context.Background()
	c, err := r.db.Conn(ctx)
	if err != nil {
		return err
	}
	defer c.Close()
	v, err := schemaOf(ctx, c, r.path)
	if err == nil && v < version {
		err = &fault.Error{Op: "open", Path: r.path, Err: errors.New("an earlier version of this program wrote it"), Mend: "start the station once: it brings it up to date"}
	}
	return err
}

func openForReading(path string, mode access) (*sql.DB, error) {
	db, err := connect(path, mode)
	if err == nil {
		db.SetMaxOpenConns(readers)
		db.SetConnMaxIdleTime(time.Minute)
	}
	return db, err
}

// Close closes it.
func (r *Reader) Close() error {
	if r.db == nil {
		return nil
	}
	return r.db.Close()
}

// failed makes one line for the user of an error while reading. That the reader itself gave up is none of the archive's.
func (r *Reader) failed(err error) error {
	if err == nil || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) || errors.Is(err, ErrNone) || errors.Is(err, ErrNoChart) {
		return err
	}
	return failure("read", r.path, err)
}

// ErrNone says that there is no such transmission.
var ErrNone = errors.New("there is no such transmission in the archive; it may have been deleted")

// ErrNoChart says that there is no such chart, or no such version of one.
var ErrNoChart = errors.New("there is no such chart in the archive; it may have been deleted")

// Record is all of a transmission.
type Record struct {
	Transmission
	Text   []Line
	Charts []Chart // of each the latest version
	Levels []Level
}

// Transmission gives one, with its lines, charts and levels.
func (r *Reader) Transmission(ctx context.Context, id ID) (*Record, error) {
	return r.Part(ctx, id, 0, mostLines)
}

// Part gives a transmission with some of its lines, from one on.
func (r *Reader) Part(ctx context.Context, id ID, from, lines int) (x *Record, err error) {
	err = r.moment(ctx, func(c *sql.Conn) error {
		x, err = partOf(ctx, c, id, from, lines)
		return err
	})
	return x, r.failed(err)
}

func record(ctx context.Context, c *sql.Conn, id ID) (*Record, error) {
	return partOf(ctx, c, id, 0, mostLines)
}

func partOf(ctx context.Context, c *sql.Conn, id ID, from, count int) (*Record, error) {
	t, err := scanTransmission(c.QueryRowContext(ctx, "SELECT "+transmissionColumns+" FROM transmission WHERE id = ?", id))
	if errors.Is(err, sql.ErrNoRows) {
		return nil, ErrNone
	}
	if err != nil {
		return nil, err
	}
	r := &Record{Transmission: t}
	from = min(max(from, 0), mostLines)
	if r.Text, err = lines(ctx, c, lineID(id, 0)+int64(from), lineID(id, 0)+int64(from+min(count, mostLines-from))); err != nil {
		return nil, err
	}
	if r.Charts, err = charts(ctx, c, "transmission = ? AND latest ORDER BY begun, id", id); err != nil {
		return nil, err
	}
	r.Levels, err = list(ctx, c, func(s *sql.Rows) (l Level, err error) {
		var at int64
		err = s.Scan(&at, &l.SNR)
		l.At = fromMillis(at)
		return l, err
	}, "SELECT at, snr FROM level WHERE transmission = ? ORDER BY at", id)
	return r, err
}

// ChartNumbered gives a chart, with its thumbnail.
func (r *Reader) ChartNumbered(ctx context.Context, id int64) (Chart, error) {
	all, err := charts(ctx, r.db, "id = ?", id)
	if err == nil && len(all) == 0 {
		err = ErrNoChart
	}
	if err != nil {
		return Chart{}, r.failed(err)
	}
	return all[0], nil
}

// PathOf is the path of a chart's file as the archive has it.
func (r *Reader) PathOf(name string) string { return r.file(name) }

// Expected gives the occurrences that were due in a time, in order.
func (r *Reader) Expected(ctx context.Context, from, to time.Time) ([]Expected, error) {
	all, err := list(ctx, r.db, func(s *sql.Rows) (e Expected, err error) {
		var at, closes int64
		err = s.Scan(&e.Key, &e.Receiver, &e.Entry, &e.Title, &e.Mode, &e.Hz, &at, &closes, &e.Outcome, &e.Transmission, &e.Quality, &e.Why)
		e.At, e.Closes = fromMillis(at), fromMillis(closes)
		return e, err
	}, "SELECT key, receiver, entry, title, mode, hz, at, closes, outcome, transmission, quality, why FROM expected WHERE at >= ? AND at < ? ORDER BY at, key, receiver", millis(from), millis(to))
	return all, r.failed(err)
}

// Incidents gives those of a time, in order.
func (r *Reader) Incidents(ctx context.Context, from, to time.Time) ([]Incident, error) {
	all, err := list(ctx, r.db, scanIncident, "SELECT "+incidentColumns+" FROM incident WHERE at >= ? AND at < ? ORDER BY at, id", millis(from), millis(to))
	return all, r.failed(err)
}

const incidentColumns = "at, what, receiver, transmission, seconds, text"

func scanIncident(s *sql.Rows) (i Incident, err error) {
	var at int64
	err = s.Scan(&at, &i.What, &i.Receiver, &i.Transmission, &i.Seconds, &i.Text)
	i.At = fromMillis(at)
	return i, err
}

// Deletions gives those of a time, in order.
func (r *Reader) Deletions(ctx context.Context, from, to time.Time) ([]Deletion, error) {
	all, err := list(ctx, r.db, func(s *sql.Rows) (d Deletion, err error) {
		var at, begun int64
		err = s.Scan(&at, &d.Kind, &d.Path, &d.Transmission, &d.Title, &begun, &d.Bytes, &d.Reason)
		d.At, d.Begun = fromMillis(at), fromMillis(begun)
		return d, err
	}, "SELECT at, kind, path, transmission, title, begun, bytes, reason FROM deletion WHERE at >= ? AND at < ? ORDER BY at, id", millis(from), millis(to))
	return all, r.failed(err)
}

// Favourite says whether some of a receiver's time is that of a favourite.
func (r *Reader) Favourite(ctx context.Context, receiver string, from, to time.Time) (bool, error) {
	var n int
	err := r.db.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM transmission WHERE favourite AND receiver = ? AND begun < ? AND ended > ?)", receiver, millis(to), millis(from)).Scan(&n)
	return n == 1, r.failed(err)
}

// querier is a database or a connection.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// list reads all rows of a query.
func list[T any](ctx context.Context, q querier, scan func(*sql.Rows) (T, error), query string, args ...any) ([]T, error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []T
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, err
		}
		all = append(all, v)
	}
	return all, rows.Err()
}

// moment reads what is in the database at one moment.
func (r *Reader) moment(ctx context.Context, f func(c *sql.Conn) error) error {
	c, err := r.db.Conn(ctx)
	if err != nil {
		return err
	}
	defer c.Close()
	// A context that ends during a statement is the statement's error even if it was done: a transaction that was begun all the
	// same would stay with the connection. BEGIN and ROLLBACK wait for nothing here, so they need no context.
	if _, err := c.ExecContext(context.WithoutCancel(ctx), "BEGIN"); err != nil {
		return err
	}
	defer c.ExecContext(context.WithoutCancel(ctx), "ROLLBACK")
	return f(c)
}

const transmissionColumns = `id, receiver, source, mode, settings, on_air, hz, low_hz, high_hz, begun, ended, state, time_from, snr, copied, title, entry, notes, rating, favourite,
	quality, lines, characters, doubtful`

func scanTransmission(row interface{ Scan(...any) error }) (t Transmission, err error) {
	var begun, ended int64
	err = row.Scan(&t.ID, &t.Receiver, &t.Source, &t.Mode, &t.Settings, &t.OnAir, &t.Hz, &t.LowHz, &t.HighHz, &begun, &ended, &t.State, &t.TimeFrom, &t.SNR, &t.Copied,
		&t.Title, &t.Entry, &t.Notes, &t.Rating, &t.Favourite, &t.Quality, &t.Lines, &t.Characters, &t.Doubtful)
	t.Begun, t.Ended = fromMillis(begun), fromMillis(ended)
	return t, err
}

// lines reads those with an id from one until just before another.
func lines(ctx context.Context, q querier, from, to int64) ([]Line, error) {
	return plainLines(ctx, q, from, to, true)
}

// plainLines is lines, without their characters if they are not wanted.
func plainLines(ctx context.Context, q querier, from, to int64, characters bool) ([]Line, error) {
	return list(ctx, q, func(s *sql.Rows) (l Line, err error) {
		var id, begun, ended int64
		var chars []byte
		if err := s.Scan(&id, &begun, &ended, &l.Text, &chars); err != nil {
			return l, err
		}
		l.Transmission, l.Number = ID(id>>lineBits), int(id&(mostLines-1))
		l.Begun, l.Ended = fromMillis(begun), fromMillis(ended)
		if characters {
			l.Chars, _ = unpackChars(l.Begun, l.Text, chars) // what is damaged Check tells of
		}
		return l, nil
	}, "SELECT id, begun, ended, text, iif(?, chars, x'') FROM line WHERE id >= ? AND id < ? ORDER BY id", characters, from, to)
}

func charts(ctx context.Context, q querier, where string, args ...any) ([]Chart, error) {
	return list(ctx, q, func(s *sql.Rows) (c Chart, err error) {
		var info, changes string
		var made int64
		if err := s.Scan(&c.ID, &c.Transmission, &c.Title, &c.Entry, &c.Picture, &c.Video, &c.PictureBytes, &c.VideoBytes, &info, &c.Thumbnail,
			&c.Family, &c.Latest, &c.DrawnFrom, &changes, &made); err != nil {
			return c, err
		}
		c.Made = fromMillis(made)
		json.Unmarshal([]byte(info), &c.Info) // what is damaged is left out
		json.Unmarshal([]byte(changes), &c.Changes)
		return c, nil
	}, "SELECT "+chartColumns+" FROM chart WHERE "+where, args...)
}

// chartColumns are those of a chart. Its video is with one of the versions.
const chartColumns = `id, transmission, title, entry, picture, coalesce((SELECT video FROM chart other WHERE other.family = chart.family AND video <> ''), ''),
	picture_bytes, (SELECT max(video_bytes) FROM chart other WHERE other.family = chart.family), info, thumbnail, family, latest, drawn_from, changes, made`
