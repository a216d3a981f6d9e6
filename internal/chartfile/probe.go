package chartfile

import (
	"errors"
	"os"
	"path/filepath"

	"ionoscribe/internal/partfile"
)

// Prepare makes the folder dir if need be, removes what programs that were killed have left in it half written, and
// finds out whether files can be made in it, so that a mistake shows before a chart is received rather than after. The
// error is an *Error.
func Prepare(dir string) error {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return writeError(dir, err)
	}
	partfile.Sweep(dir)
	f, err := partfile.Create(filepath.Join(dir, "trial"))
	if err != nil {
		return writeError(dir, err)
	}
	partfile.Discard(f)
	return nil
}

// PrepareFile is Prepare for a file that WriteFile is going to write; its folder must be there. The error is an *Error.
func PrepareFile(path string) error {
	target, err := partfile.Target(path)
	if err != nil {
		return writeError(path, err)
	}
	switch fi, err := os.Stat(target); {
	case err == nil && fi.IsDir():
		return &Error{Op: "write", Path: path, Err: errors.New("is a folder"), Mend: "name a file in it"}
	case err == nil && !fi.Mode().IsRegular(): // a device, say
		return nil
	}
	partfile.Sweep(filepath.Dir(target))
	f, err := partfile.Create(target)
	if err != nil {
		return writeError(path, err)
	}
	partfile.Discard(f)
	return nil
}
