package chartfile

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"syscall"

	"ionoscribe/internal/fault"
)

// Error is one line for the user that names the file.
type Error = fault.Error

func readError(path string, err error) error {
	e := &Error{Op: "read", Path: path, Err: bare(err)}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.Mend = "check the name"
	case errors.Is(err, fs.ErrPermission):
		e.Mend = "change its permissions"
	case errors.Is(err, syscall.EISDIR):
		e.Mend = "name a file in it"
	case errors.Is(err, io.ErrUnexpectedEOF):
		e.Err, e.Mend = errors.New("ends early"), "copy it again"
	}
	return e
}

func writeError(path string, err error) error {
	e := &Error{Op: "write", Path: path, Err: bare(err), Mend: "choose another folder"}
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		e.Mend = "free some space or choose another folder"
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		e.Mend = "choose a folder that you may write to"
	case errors.Is(err, syscall.ENOTDIR), errors.Is(err, fs.ErrExist):
		e.Mend = "choose a folder, not a file"
	}
	return e
}

// bare drops what would name the path a second time.
func bare(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	var l *os.LinkError
	if errors.As(err, &l) {
		return l.Err
	}
	return err
}
