package archive

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"sync"
	"time"

	"ionoscribe/internal/fault"
	"ionoscribe/internal/partfile"
)

// Name is that of the database in a station's folder.
const Name = "archive.db"

// lockName is that of the file by which one program at a time writes.
const lockName = "archive.lock"

// Options of an archive. The zero value will do.
type Options struct {
	Now  func() time.Time     // nil: time.Now
	Note func(string, ...any) // tells of trouble and of what was mended, such as slog.Warn; nil: nobody
}

// Archive is one that is written to. Its methods may be called from any goroutine.
type Archive struct {
	Reader
	now  func() time.Time
	note func(string, ...any)
	lock *os.File

	mutex        sync.Mutex
	arriving     map[ID]*arriving
	pending      pending
	stats        stats
	lastID       ID
	lastChart    int64
	lastIncident int64
	lastDeletion int64

	jobs    chan job
	stop    chan struct{} // closed: the writer shall end
	stopped chan struct{} // closed: it has ended
	close   sync.Once
	closed  error
}

// Open opens the archive of a station's folder, which it makes if there is none, brings its schema up to date, and adopts or
// removes what an earlier run left that was killed. Every error is one line for the user.
func Open(dir string, o Options) (*Archive, error) {
	a := &Archive{now: o.Now, note: o.Note, arriving: map[ID]*arriving{}, jobs: make(chan job), stop: make(chan struct{}), stopped: make(chan struct{})}
	if a.now == nil {
		a.now = time.Now
	}
	if a.note == nil {
		a.note = func(string, ...any) {}
	}
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, failure("open", dir, err)
	}
	a.dir, a.path, a.mode = dir, filepath.Join(dir, Name), reading
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return nil, failure("make", dir, err)
	}
	if kind := networkFileSystem(dir); kind != "" {
		return nil, &fault.Error{Op: "open", Path: a.path, Err: errors.New("it is on a network file system (" + kind + "), whose locks and writes a database cannot rely on"),
			Mend: "choose a folder on a disk of this machine; pictures may be copied to the network"}
	}
	if err := a.take(); err != nil {
		return nil, err
	}
	w := &writer{archive: a, path: a.path}
	if err := a.open(w); err != nil {
		w.drop()
		if w.db != nil {
			w.db.Close()
		}
		a.lock.Close()
		return nil, err
	}
	go w.run()
	return a, nil
}

// take takes the lock.
func (a *Archive) take() error {
	path := filepath.Join(a.dir, lockName)
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return failure("open", path, err)
	}
	if !partfile.Lock(f) {
		f.Close()
		return &fault.Error{Op: "open", Path: a.path, Err: errors.New("another program keeps this archive already"), Mend: "end that one, or choose another folder"}
	}
	a.lock = f
	return nil
}

func (a *Archive) open(w *writer) (err error) {
	ctx := context.Background()
	if fileSize(a.path) > 0 { // a database that is refused is not even touched
		if err := mine(ctx, a.path); err != nil {
			return failure("open", a.path, err)
		}
	}
	if w.db, err = connect(a.path, writing, writerPragmas...); err != nil {
		return failure("open", a.path, err)
	}
	w.db.SetMaxOpenConns(1)
	w.db.SetMaxIdleConns(0) // what the writer lets go of is closed
	if err := w.connect(ctx); err != nil {
		return failure("open", a.path, err)
	}
	if err := migrate(ctx, w.conn, a.path); err != nil {
		return err
	}
	if err := transaction(ctx, w.conn, func() error { return a.recover(ctx, w) }); err != nil {
		return failure("open", a.path, err)
	}
	if a.db, err = openForReading(a.path, reading); err != nil {
		return failure("open", a.path, err)
	}
	return a.adopt(ctx, w)
}

// mine fails for a database that this program cannot write.
func mine(ctx context.Context, path string) error {
	db, err := openForReading(path, reading)
	if err != nil {
		return err
	}
	defer db.Close()
	c, err := db.Conn(ctx)
	if err != nil {
		return err
	}
	defer c.Close()
	_, err = schemaOf(ctx, c, path)
	return err
}

// recover makes good of what a run that was killed left in the database.
func (a *Archive) recover(ctx context.Context, w *writer) error {
	err := w.conn.QueryRowContext(ctx, `SELECT max((SELECT coalesce(max(id), 0) FROM transmission), (SELECT coalesce(max(transmission), 0) FROM deletion)),
		(SELECT coalesce(max(id), 0) FROM incident), (SELECT coalesce(max(id), 0) FROM deletion), (SELECT last FROM number WHERE what = 'chart')`).
		Scan(&a.lastID, &a.lastIncident, &a.lastDeletion, &a.lastChart)
	if err != nil {
		return err
	}
	if err := a.stopKilled(ctx, w); err != nil {
		return err
	}
	cut, err := ids(w.conn.QueryContext(ctx, "SELECT id FROM transmission WHERE state = ?", Arriving))
	if err != nil {
		return err
	}
	for _, id := range cut {
		if err := a.cutOff(ctx, w, ID(id)); err != nil {
			return err
		}
	}
	if len(cut) > 0 {
		a.note("transmissions were being received when the program ended; what was received of them is kept", "count", len(cut))
	}
	return nil
}

// cutOff makes good of a transmission that was arriving: what its last line adds up to may not have been written, nor the last
// section been indexed.
func (a *Archive) cutOff(ctx context.Context, w *writer, id ID) error {
	text, err := lines(ctx, w.conn, lineID(id, 0), lineID(id+1, 0))
	if err != nil {
		return err
	}
	n := arriving{}
	for _, l := range text {
		for _, c := range l.Chars {
			n.count(c)
		}
	}
	err = w.exec(`UPDATE transmission SET state = ?2, lines = ?3, characters = ?4, doubtful = ?5, text_bytes = ?6, ended = max(ended, ?7),
		quality = coalesce(`+meanQuality+`, ?8) WHERE id = ?1`,
		id, Cut, len(text), n.Characters, n.Doubtful, n.textBytes, millis(n.Ended), n.meanConfidence())
	if err != nil {
		return err
	}
	return indexSections(ctx, w.conn, id, max(0, len(text)-2)/sectionLines)
}

// ids reads rows of one number.
func ids(rows *sql.Rows, err error) ([]int64, error) {
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []int64
	for rows.Next() {
		var n int64
		if err := rows.Scan(&n); err != nil {
			return nil, err
		}
		all = append(all, n)
	}
	return all, rows.Err()
}

// Close writes what is pending, as far as that is possible, and closes the archive. What still arrives is cut.
func (a *Archive) Close() error {
	a.close.Do(func() {
		close(a.stop)
		<-a.stopped
		a.closed = errors.Join(a.closed, a.db.Close(), a.lock.Close())
	})
	<-a.stopped
	return a.closed
}

// Flush writes what is pending now, and tells why if it is not written.
func (a *Archive) Flush(ctx context.Context) error { return a.wait(ctx, nil) }

// Folder is where the files of a chart that begins at a time belong.
func (a *Archive) Folder(begun time.Time) string {
	return filepath.Join(a.dir, filepath.FromSlash(begun.UTC().Format("2006/01/02")))
}
