package chartfile

import (
	"os"
)

// Prepare makes the folder dir if need be and finds out whether files can be made in it, so that a mistake shows
// before a chart is received rather than after. The error is an *Error.
func Prepare(dir string) error {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return writeError(dir, err)
	}
	f, err := os.CreateTemp(dir, "*.part")
	if err != nil {
		return writeError(dir, err)
	}
	f.Close()
	os.Remove(f.Name())
	return nil
}
