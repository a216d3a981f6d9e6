package programme

import (
	"io"
	"path/filepath"
	"strings"
)

// Read reads entries from a file: iCalendar if its name ends with .ics or .ical, and otherwise CSV.
func Read(r io.Reader, file string, names Names) ([]Entry, error) {
	switch strings.ToLower(filepath.Ext(file)) {
	case ".ics", ".ical":
		return ReadICalendar(r, file, names)
	}
	return ReadCSV(r, file, names)
}
