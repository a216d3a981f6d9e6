package stationfile

import (
	"context"
	"errors"
	"fmt"
)

// Problem is a mistake in a file.
type Problem struct {
	File         string
	Line, Column int    // from 1; 0: not known
	Message      string // a sentence
	Mend         string // what mends it
}

// Problems are all mistakes that were found, an error.
type Problems []Problem

func (p Problems) Error() string { return "" }

// Load reads a file; what is wrong with it is an error of type [Problems], and all else of type [fault.Error]. Each receiver is also
// held against checks.
func Load(path string, checks ...func(Receiver) error) (*Config, error) {
	return nil, errors.ErrUnsupported
}

// Watch calls f with what a file holds whenever it, or a file of its programme, has changed, and at SIGHUP, until ctx ends: with a
// configuration, or an error and none. It returns at once if the folder cannot be watched.
func Watch(ctx context.Context, path string, f func(*Config, error), checks ...func(Receiver) error) error {
	return errors.ErrUnsupported
}

// Template is a station.toml with comments, of a station that listens to sound devices.
func Template(devices []string) []byte { return nil }

// Init makes a folder with a station.toml; it overwrites nothing.
func Init(folder string, devices []string) error { return errors.ErrUnsupported }

// String is a line: where it is, what it is, what mends it.
func (p Problem) String() string {
	return fmt.Sprintf("%s:%d:%d: %s; %s", p.File, p.Line, p.Column, p.Message, p.Mend)
}
