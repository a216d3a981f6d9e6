package chartfile

import (
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
