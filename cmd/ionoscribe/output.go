package main

import (
	"fmt"
	"io"
	"os"

	"ionoscribe/internal/chartfile"
	"ionoscribe/internal/fault"
	"ionoscribe/internal/filing"
)

// printLine writes a line to standard output.
func printLine(w io.Writer, s string) error {
	if _, err := fmt.Fprintln(w, s); err != nil {
		return outputError(err)
	}
	return nil
}

func outputError(err error) error {
	return fmt.Errorf("write standard output: %w; keep its reader open", fault.Cause(err))
}

// notOnto fails if a file that is to be written is one of those that are read.
func notOnto(path string, read ...string) error {
	fi, err := os.Stat(path)
	if err != nil || !fi.Mode().IsRegular() {
		return nil
	}
	for _, r := range read {
		if other, err := os.Stat(r); err == nil && os.SameFile(fi, other) {
			return usageError{fmt.Errorf("%s would overwrite what is read; name another file", path)}
		}
	}
	return nil
}

// placeFor fails if a file that is to be written when all is done cannot be: better now than then.
func placeFor(path string, read ...string) error {
	if err := notOnto(path, read...); err != nil {
		return err
	}
	if err := chartfile.PrepareFile(path); err != nil {
		return usageError{err}
	}
	return nil
}

// newTrouble tells of files that cannot be written on standard error, where the progress may be in the way.
func newTrouble(notes io.Writer, p *progress) *filing.Trouble {
	if notes == nil {
		return &filing.Trouble{}
	}
	return &filing.Trouble{Note: func(line string) {
		if p != nil {
			p.clear()
		}
		fmt.Fprintf(notes, "ionoscribe: %s\n", line)
	}}
}
