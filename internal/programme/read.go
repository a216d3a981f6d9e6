package programme

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"ionoscribe/internal/fault"
)

// Read reads entries from a file: iCalendar if its name ends with .ics or .ical, and otherwise CSV.
func Read(r io.Reader, file string, names Names) ([]Entry, error) {
	switch strings.ToLower(filepath.Ext(file)) {
	case ".ics", ".ical":
		return ReadICalendar(r, file, names)
	}
	return ReadCSV(r, file, names)
}

// ReadFiles reads the entries of several files, of which - is standard input; that may be iCalendar or CSV. With an error come
// the entries in which nothing is wrong.
func ReadFiles(paths []string, stdin io.Reader, names Names) (all []Entry, err error) {
	var p fault.Problems
	files := map[string]string{} // in which an ID was seen
	for _, path := range paths {
		text, err := readFile(path, stdin)
		if err != nil {
			return nil, &fault.Error{Op: "read", Path: path, Err: fault.Cause(err), Mend: "check the name and the permissions"}
		}
		name := path
		if path == "-" && bytes.Contains(bytes.ToUpper(text[:min(len(text), 100)]), []byte("BEGIN:VCALENDAR")) {
			name = "-.ics"
		}
		entries, err := Read(bytes.NewReader(text), name, names)
		if problems, ok := err.(fault.Problems); ok {
			p = append(p, problems...)
		} else if err != nil {
			return nil, &fault.Error{Op: "read", Path: path, Err: err}
		}
		for _, e := range entries {
			if other, twice := files[e.ID]; twice && other != path {
				p = append(p, fault.Problem{File: path, Message: fmt.Sprintf("an entry has the id %s, as one of %s has", e.ID, other), Mend: "give one of them an id of its own"})
				continue
			}
			files[e.ID] = path
			all = append(all, e)
		}
	}
	return all, p.Err()
}

func readFile(path string, stdin io.Reader) ([]byte, error) {
	if path == "-" {
		return readAll(stdin)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return readAll(f)
}
