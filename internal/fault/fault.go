// Package fault is what a user is told when a file or a source fails: one line that names it and what mends it.
package fault

import "strings"

// Error is one line for the user: what was done to which file or source, what went wrong, and what mends it.
// Mend may be empty.
type Error struct {
	Op, Path, Mend string
	Err            error
}

// Error is the line, without a line break.
func (e *Error) Error() string {
	return strings.TrimSuffix(e.Op+" "+e.Path+": "+e.Err.Error()+"; "+e.Mend, "; ")
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Err }
