package archive

import (
	"database/sql"
	"errors"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"ionoscribe/internal/fault"
)

// busy is how long a statement waits for a database that another process has locked, in milliseconds. The writer tries again
// all the same, and the station must stop within five seconds.
const busy = "1500"

// access is what may be done with a database.
type access string

const (
	writing   access = "mode=rwc"
	reading   access = "mode=ro"             // while others may write
	readStill access = "mode=ro&immutable=1" // nobody writes: it may be where nothing can be written
)

// connect opens a database; a connection is made when it is needed first.
func connect(path string, mode access, pragmas ...string) (*sql.DB, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if path = filepath.ToSlash(path); !strings.HasPrefix(path, "/") {
		path = "/" + path // C:/...
	}
	q := url.Values{"_pragma": pragmas, "_busy_timeout": {busy}}
	u := url.URL{Scheme: "file", Path: path, RawQuery: q.Encode() + "&" + string(mode)}
	return sql.Open("sqlite", u.String())
}

// The writer's connection: each commit is on the disk when it returns, a log that has grown is cut to 16 MB, and what is
// deleted can be given back to the system in small pieces.
var writerPragmas = []string{"auto_vacuum(2)", "journal_mode(WAL)", "synchronous(FULL)", "journal_size_limit(16777216)", "temp_store(MEMORY)"}

// code is that of an error of SQLite without its extension, or 0.
func code(err error) int {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code() & 0xff
	}
	return 0
}

// lasting says of an error that it comes again whenever the same row is written.
func lasting(err error) bool {
	switch code(err) {
	case sqlite3.SQLITE_CONSTRAINT, sqlite3.SQLITE_MISMATCH, sqlite3.SQLITE_TOOBIG, sqlite3.SQLITE_RANGE:
		return true
	}
	return false
}

// worded is an error in other words.
type worded struct {
	words string
	error
}

func (w worded) Error() string { return w.words }
func (w worded) Unwrap() error { return w.error }

// failure makes one line for the user of an error of the database or of a file.
func failure(op, path string, err error) error {
	if err == nil {
		return nil
	}
	var f *fault.Error
	if errors.As(err, &f) {
		return err
	}
	e := &fault.Error{Op: op, Path: path, Err: fault.Cause(err)}
	switch code(err) {
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		e.Err, e.Mend = worded{"another program has locked it", err}, "end that program"
	case sqlite3.SQLITE_FULL:
		e.Err, e.Mend = worded{"the disk is full", err}, "free some space, or keep less"
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM:
		e.Err, e.Mend = worded{"it cannot be written to", err}, "change its permissions and those of its folder, or choose another folder"
	case sqlite3.SQLITE_CANTOPEN:
		e.Err, e.Mend = worded{"it cannot be opened", err}, "check that its folder is there, and its permissions"
	case sqlite3.SQLITE_IOERR:
		e.Mend = "check the disk"
	case sqlite3.SQLITE_CORRUPT:
		e.Err, e.Mend = worded{"it is damaged", err}, "put it aside and copy a backup in its place"
	case sqlite3.SQLITE_NOTADB:
		e.Err, e.Mend = worded{"it is no database", err}, "put it aside, or choose another folder"
	}
	switch {
	case e.Mend != "":
	case errors.Is(err, fs.ErrNotExist):
		e.Mend = "check the name"
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		e.Mend = "choose a folder that you may write to"
	case errors.Is(err, syscall.ENOSPC):
		e.Mend = "free some space"
	}
	return e
}

// millis is how the database has times.
func millis(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMilli()
}

func fromMillis(ms int64) time.Time {
	if ms == 0 {
		return time.Time{}
	}
	return time.UnixMilli(ms).UTC()
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return !errors.Is(err, fs.ErrNotExist)
}

// locked says of an error that another connection has locked the database.
func locked(err error) bool {
	c := code(err)
	return c == sqlite3.SQLITE_BUSY || c == sqlite3.SQLITE_LOCKED
}
