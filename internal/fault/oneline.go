package fault

import (
	"errors"
	"io/fs"
	"strings"
	"unicode"
)

// OneLine makes a line of a text, and drops what a terminal might obey.
func OneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return -1
	}, strings.Join(strings.Fields(s), " "))
}

// Cause drops the name of the file that an error of the operating system carries.
func Cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
