package stationfile

import (
	"bytes"
	"errors"
	"path/filepath"
	"strings"

	"ionoscribe/internal/fault"
	"ionoscribe/internal/programme"
)

// readProgramme reads the entries of the file and of the files that it names; it says whether they are right.
func readProgramme(root *table, c *Config, f files) (ok bool) {
	before := len(root.problems)
	names := programme.Names{Modes: modeNames(), Receivers: receiverNames(c.Receivers)}
	from := map[string]string{} // where an ID was seen
	for _, t := range root.tables("programme") {
		e, ok := t.entry(names)
		if !ok {
			continue
		}
		if _, twice := from[e.ID]; twice {
			t.wrong(t.at("id"), "give one of them an id of its own", "another entry of the programme has the id %s too", e.ID)
		}
		from[e.ID] = root.file
		c.Programme = append(c.Programme, e)
	}
	for i, name := range root.texts("programme_files") {
		path := filepath.Clean(name)
		if !filepath.IsAbs(path) {
			path = filepath.Join(filepath.Dir(c.Path), path)
		}
		c.ProgrammeFiles = append(c.ProgrammeFiles, path)
		at := root.where("programme_files", i)
		text, err := f.read(path)
		if err != nil {
			root.wrong(at, "correct its name, or take it out", "the programme file %s cannot be read: %v", path, fault.Cause(err))
			continue
		}
		entries, err := programme.Read(bytes.NewReader(text), path, names)
		var problems fault.Problems
		switch {
		case errors.As(err, &problems):
			root.problems = append(root.problems, problems...)
		case err != nil:
			root.wrong(at, "check it", "the programme file %s: %v", path, err)
		}
		for _, e := range entries {
			if other, twice := from[e.ID]; twice && other != path && err == nil {
				root.wrong(at, "give one of them an id of its own", "an entry of %s has the id %s as one of %s has", path, e.ID, other)
			}
			from[e.ID] = path
		}
		c.Programme = append(c.Programme, entries...)
	}
	return len(root.problems) == before
}

// entry is one of the programme.
func (t *table) entry(names programme.Names) (e programme.Entry, ok bool) {
	before := len(t.problems)
	for _, column := range programme.Columns() {
		text := strings.Join(t.texts(column), " ")
		if err := programme.Set(&e, column, text); err != nil {
			t.wrong(t.at(column), "", "%s %q %v", column, text, err)
		}
	}
	t.onlyKnown()
	if len(t.problems) > before {
		return e, false
	}
	for _, w := range e.Complete(names) {
		t.wrong(t.at(w.Column), w.Mend, "%s", w.Message)
	}
	return e, len(t.problems) == before
}
