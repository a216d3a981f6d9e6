//go:build unix

package stationfile

import "golang.org/x/sys/unix"

func mayMakeFiles(folder string) bool { return unix.Access(folder, unix.W_OK) == nil }
