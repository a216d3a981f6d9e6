package archive

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"
)

const (
	// commitEvery leaves half of the second, within which all that is heard is to be written, for the writing.
	commitEvery = 400 * time.Millisecond
	// retryEvery is how long the writer waits after an error.
	retryEvery = time.Second
	// batch is how many rows a transaction has at most, so that it takes a tenth of a second.
	batch = 2000
)

// writer owns the connection that writes. All of it is used by its goroutine alone.
type writer struct {
	archive    *Archive
	path       string
	db         *sql.DB
	conn       *sql.Conn // nil: it is made anew
	statements map[string]*sql.Stmt
}

// job is done by the writer for somebody who waits.
type job struct {
	ctx  context.Context
	f    func(w *writer) error // in a transaction; nil: only write what is pending
	bare bool                  // no transaction
	done chan error
}

func (w *writer) run() {
	defer close(w.archive.stopped)
	tick := time.NewTicker(commitEvery)
	defer tick.Stop()
	var notBefore time.Time
	for {
		select {
		case <-w.archive.stop:
			w.archive.closed = w.last()
			return
		case j := <-w.archive.jobs:
			j.done <- w.do(j)
		case <-tick.C:
			if time.Now().Before(notBefore) {
				continue
			}
			if w.flush() != nil {
				notBefore = time.Now().Add(retryEvery)
			}
		}
	}
}

// last writes what is pending and closes the connection.
func (w *writer) last() error {
	a := w.archive
	a.mutex.Lock()
	for id, t := range a.arriving { // the station should have ended them
		a.cut(id, t)
	}
	a.mutex.Unlock()
	err := w.flush()
	if err != nil {
		a.mutex.Lock()
		err = fmt.Errorf("%w; %d rows of what was heard last are lost", err, len(a.pending.order))
		a.mutex.Unlock()
	}
	w.drop()
	// All goes into the database itself, so that it can be copied alone. If someone reads, the next start does it.
	w.db.Exec("PRAGMA wal_checkpoint(TRUNCATE)")
	return errors.Join(err, w.db.Close())
}

func (w *writer) do(j job) error {
	if err := j.ctx.Err(); err != nil {
		return err
	}
	if err := w.flush(); err != nil {
		return err
	}
	if j.f == nil {
		return nil
	}
	err := w.connect(j.ctx)
	if err == nil && j.bare {
		err = j.f(w)
	} else if err == nil {
		err = transaction(j.ctx, w.conn, func() error { return j.f(w) })
	}
	w.failed(err)
	return failure("write", w.path, err)
}

// flush writes all that is pending when it begins: there might be no end to what is told meanwhile.
func (w *writer) flush() error {
	a := w.archive
	a.mutex.Lock()
	left := len(a.pending.order)
	a.mutex.Unlock()
	for left > 0 {
		a.mutex.Lock()
		rows := a.pending.take(min(batch, left))
		a.mutex.Unlock()
		left -= batch
		if len(rows) == 0 {
			return nil // they were given up
		}
		for _, r := range rows {
			if r.prepare != nil {
				r.prepare()
			}
		}
		if err := w.write(rows); err != nil {
			w.failed(err)
			err = failure("write", w.path, err)
			a.mutex.Lock()
			a.pending.giveBack(rows)
			a.stats.trouble(a, err)
			a.mutex.Unlock()
			return err
		}
		a.mutex.Lock()
		a.pending.written()
		a.stats.works(a, len(rows))
		a.mutex.Unlock()
	}
	return nil
}

// write writes rows in a transaction. One that can never be written is left out.
func (w *writer) write(rows []row) error {
	ctx := context.Background()
	if err := w.connect(ctx); err != nil {
		return err
	}
	return transaction(ctx, w.conn, func() error {
		for _, r := range rows {
			err := r.write(w)
			if lasting(err) {
				w.archive.note("a row of the archive cannot be written, and is left out", "table", r.key.table, "error", err)
				continue
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
}

func (w *writer) connect(ctx context.Context) (err error) {
	if w.conn == nil {
		w.conn, err = w.db.Conn(ctx)
		w.statements = map[string]*sql.Stmt{}
	}
	return err
}

// failed lets go of a connection that had an error other than a lock's: a new one finds what is there by then.
func (w *writer) failed(err error) {
	if err != nil && code(err) != 0 && !locked(err) {
		w.drop()
	}
}

func (w *writer) drop() {
	for _, s := range w.statements {
		s.Close()
	}
	w.statements = nil
	if w.conn != nil {
		w.conn.Close()
		w.conn = nil
	}
}

// exec executes a statement, which is prepared once.
func (w *writer) exec(query string, args ...any) error {
	s := w.statements[query]
	if s == nil {
		var err error
		if s, err = w.conn.PrepareContext(context.Background(), query); err != nil {
			return err
		}
		w.statements[query] = s
	}
	_, err := s.Exec(args...)
	return err
}

// wait has the writer do something, and waits until it is on the disk.
func (a *Archive) wait(ctx context.Context, f func(w *writer) error) error {
	return a.waitFor(job{ctx: ctx, f: f})
}

func (a *Archive) waitFor(j job) error {
	j.done = make(chan error, 1)
	select {
	case a.jobs <- j:
	case <-j.ctx.Done():
		return j.ctx.Err()
	case <-a.stop:
		return errClosed
	}
	select {
	case err := <-j.done:
		return err
	case <-a.stopped: // which may have come between
		select {
		case err := <-j.done:
			return err
		default:
			return errClosed
		}
	}
}

var errClosed = errors.New("the archive is closed")
