package main

import (
	"io"
	"slices"
	"strings"

	"ionoscribe/internal/audio"
)

// listsDevices tells whether the sources order the list of sound devices.
func listsDevices(sources []string) bool { return slices.Equal(sources, []string{"device:"}) }

// printDevices prints the sound devices as they may be given for a source.
func printDevices(out io.Writer) error {
	paths, err := audio.Devices()
	if err != nil || len(paths) == 0 {
		return err
	}
	return printLine(out, strings.Join(paths, "\n"))
}
