package stationfile

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"ionoscribe/internal/fault"
)

// Problem is a mistake in a file, and Problems are all that were found.
type (
	Problem  = fault.Problem
	Problems = fault.Problems
)

// Load reads a file, and those of its programme; what is wrong with them is an error of type [Problems], and all else of type
// [*fault.Error]. Each receiver is also held against checks.
func Load(path string, checks ...func(Receiver) error) (*Config, error) {
	return files{}.load(filepath.Clean(path), checks)
}

// files are the texts that were read, by their paths; of those that cannot be read they are nil.
type files map[string][]byte

func (f files) read(path string) ([]byte, error) {
	text, err := readFile(path)
	f[path] = text
	return text, err
}

// mostBytes is more than any of these files has: one that is larger is another one.
const mostBytes = 16 << 20

func readFile(path string) ([]byte, error) {
	fi, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, err
	case !fi.Mode().IsRegular():
		return nil, errors.New("it is not a file")
	case fi.Size() > mostBytes:
		return nil, errors.New("it is too large")
	}
	return os.ReadFile(path)
}

func (f files) load(path string, checks []func(Receiver) error) (*Config, error) {
	text, err := f.read(path)
	if err != nil {
		e := &fault.Error{Op: "read", Path: path, Err: fault.Cause(err), Mend: "check its permissions"}
		if errors.Is(err, fs.ErrNotExist) {
			e.Mend = fmt.Sprintf("make a station with: ionoscribe watch --init %s", filepath.Dir(path))
		}
		return nil, e
	}
	return f.config(path, text, checks)
}

// config is what the text of a station.toml says.
func (f files) config(path string, text []byte, checks []func(Receiver) error) (*Config, error) {
	d, err := parse(path, text)
	if err != nil {
		return nil, err
	}
	c := &Config{Path: path, files: f}
	root := d.table("", d.root)
	c.Name = fault.OneLine(root.text("name"))
	c.Place = fault.OneLine(root.text("place"))
	c.Page = readPage(root, filepath.Dir(path))
	keep, sound := readKeep(root)
	c.Keep = keep
	c.Receivers = readReceivers(root, c.Place, sound, checks)
	readAlerts(root, c, readProgramme(root, c, f))
	root.onlyKnown()
	if err := d.problems.Err(); err != nil {
		return nil, err
	}
	return c, nil
}
