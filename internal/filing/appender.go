package filing

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"ionoscribe/internal/fault"
)

// mostKept bounds in bytes what is kept of a text whose file cannot be written: a day and more of continuous radioteletype.
const mostKept = 1 << 20

// Appender appends text to a file, which is opened for each piece and closed again: whoever copies for days has no file
// open, and files may be moved away at any time. What the file does not take, because the disk is full or the folder
// gone, is kept and tried again with the next piece.
type Appender struct {
	path    string
	pipe    *os.File // what is there is no file, and stays open
	pending []byte
	lost    int64 // bytes
	trouble *Trouble
}

// OpenAppender finds out whether a file can be appended to.
func OpenAppender(path string, t *Trouble) (*Appender, error) {
	f, err := os.OpenFile(path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		return nil, appendError(path, err)
	}
	a := &Appender{path: path, trouble: t}
	if fi, err := f.Stat(); err == nil && !fi.Mode().IsRegular() {
		a.pipe = f
		return a, nil
	}
	return a, f.Close()
}

// Write takes text and cannot fail; see Save.
func (a *Appender) Write(text []byte) (int, error) {
	a.keep(text)
	a.Save()
	return len(text), nil
}

// keep takes text that Save brings into the file.
func (a *Appender) keep(text []byte) {
	a.pending = append(a.pending, text...)
	if over := len(a.pending) - mostKept; over > 0 {
		a.pending = a.pending[:copy(a.pending, a.pending[over:])]
		a.lost += int64(over)
		a.trouble.gaveUp()
	}
}

// Save brings what is pending into the file, as far as that takes it.
func (a *Appender) Save() error {
	if len(a.pending) == 0 {
		return nil
	}
	n, err := a.append()
	a.pending = a.pending[:copy(a.pending, a.pending[n:])]
	if err != nil {
		err = appendError(a.path, err)
		a.trouble.failed(a.path, err)
		return err
	}
	a.trouble.works(a.path)
	return nil
}

func (a *Appender) append() (n int, err error) {
	if a.pipe != nil {
		return a.pipe.Write(a.pending)
	}
	open := func() (*os.File, error) { return os.OpenFile(a.path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o666) }
	f, err := open()
	if errors.Is(err, fs.ErrNotExist) { // its folder was moved away
		if err = os.MkdirAll(filepath.Dir(a.path), 0o777); err == nil {
			f, err = open()
		}
	}
	if err != nil {
		return 0, err
	}
	n, err = f.Write(a.pending)
	return n, errors.Join(err, f.Close())
}

// Close tries for the last time; the error tells what is not in the file.
func (a *Appender) Close() error {
	err := a.Save()
	if a.pipe != nil {
		err = errors.Join(err, a.pipe.Close())
	}
	if err == nil && a.lost > 0 {
		err = fmt.Errorf("write %s: %d bytes were lost while it could not be written", a.path, a.lost)
	}
	return err
}

func appendError(path string, err error) error {
	return &fault.Error{Op: "write", Path: path, Err: fault.Cause(err), Mend: "make room, or choose another folder"}
}
