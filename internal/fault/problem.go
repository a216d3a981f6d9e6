package fault

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Problem is a mistake that a user made in a file.
type Problem struct {
	File         string
	Line, Column int    // from 1, the column in bytes; 0: not known
	Message      string // a sentence without its full stop
	Mend         string // what mends it; may be empty
}

// Error is one line: FILE:LINE:COLUMN: message; mend.
func (p Problem) Error() string {
	where := p.File
	if p.Line > 0 {
		where += fmt.Sprintf(":%d", p.Line)
		if p.Column > 0 {
			where += fmt.Sprintf(":%d", p.Column)
		}
	}
	return OneLine(strings.TrimSuffix(where+": "+p.Message+"; "+p.Mend, "; "))
}

// Problems are all that were found in a file, or in several; with none of them there is no error.
type Problems []Problem

// Err is nil without problems, and otherwise they, in the order of the file.
func (p Problems) Err() error {
	if len(p) == 0 {
		return nil
	}
	slices.SortStableFunc(p, func(a, b Problem) int {
		return cmp.Or(strings.Compare(a.File, b.File), a.Line-b.Line, a.Column-b.Column)
	})
	return p
}

// Error has a line for each.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i := range p {
		lines[i] = p[i].Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap gives each.
func (p Problems) Unwrap() []error {
	each := make([]error, len(p))
	for i := range p {
		each[i] = p[i]
	}
	return each
}
