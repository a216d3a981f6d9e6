package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
)

// printLine writes a line to standard output.
func printLine(w io.Writer, s string) error {
	if _, err := fmt.Fprintln(w, s); err != nil {
		return outputError(err)
	}
	return nil
}

func outputError(err error) error {
	return fmt.Errorf("write standard output: %w; keep its reader open", cause(err))
}

// cause drops the name of the file that an error of the operating system carries.
func cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
