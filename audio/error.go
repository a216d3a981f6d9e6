package audio

import (
	"errors"
	"io/fs"
	"strings"
)

// Error is one line for the user: what was done to which source or file, what went wrong, and what mends it. Mend may be
// empty.
type Error struct {
	Op, Path, Mend string
	Err            error
}

// Error is the line, without a line break.
func (e *Error) Error() string {
	return strings.TrimSuffix(e.Op+" "+e.Path+": "+e.Err.Error()+"; "+e.Mend, "; ")
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Err }

// mended is a cause that knows its own mend; it is taken apart into an Error where the path is known.
type mended struct {
	error
	mend string
}

func (m mended) Unwrap() error { return m.error }

// newError makes the line for the user of any cause.
func newError(op, path string, err error) *Error {
	e := &Error{Op: op, Path: path, Err: err}
	var m mended
	if errors.As(err, &m) {
		e.Err, e.Mend = m.error, m.mend
	}
	var p *fs.PathError
	if errors.As(err, &p) { // it would name the path a second time
		e.Err = p.Err
	}
	switch {
	case e.Mend != "":
	case errors.Is(err, fs.ErrNotExist):
		e.Mend = "check the name"
	case errors.Is(err, fs.ErrPermission):
		e.Mend = "change its permissions"
	}
	return e
}
