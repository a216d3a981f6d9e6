package chartfile

import (
	"errors"
	"os"
	"path/filepath"

	"ionoscribe/internal/partfile"
)

// Prepare makes the folder dir if need be, removes what programs that were killed have left in it half written, and
// finds out whether files can be made in it, so that a mistake shows before a chart is received rather than after. undo
// removes the folders that were made, if nothing has come into them. The error is an *Error.
func Prepare(dir string) (undo func(), err error) {
	var made []string // the innermost first
	for d := filepath.Clean(dir); !exists(d); d = filepath.Dir(d) {
		made = append(made, d)
	}
	undo = func() {
		for _, d := range made {
			if os.Remove(d) != nil { // it has something in it
				return
			}
		}
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		undo()
		return nil, writeError(dir, err)
	}
	partfile.Sweep(dir)
	f, err := partfile.Create(filepath.Join(dir, "trial"))
	if err != nil {
		undo()
		return nil, writeError(dir, err)
	}
	partfile.Discard(f)
	return undo, nil
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
