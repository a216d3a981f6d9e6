package main

import (
	"errors"
	"io"
	"slices"
	"strings"

	"ionoscribe/audio"
)

// listsDevices tells whether the sources order the list of sound devices.
func listsDevices(sources []string) bool { return slices.Equal(sources, []string{"device:"}) }

var errNoDevice = errors.New("there is no sound device to record from; start the sound system, or read a file or a pipe")

// printDevices prints the sound devices as they may be given for a source.
func printDevices(out io.Writer) error {
	paths, err := audio.Devices()
	switch {
	case err != nil:
		return err
	case len(paths) == 0:
		return errNoDevice
	}
	return printLine(out, strings.Join(paths, "\n"))
}
