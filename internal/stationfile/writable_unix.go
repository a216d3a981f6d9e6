//go:build unix

package stationfile

import (
	"path/filepath"

	"golang.org/x/sys/unix"

	"ionoscribe/internal/partfile"
)

// Writable says that an edit of the file at path can be written, as far as permissions tell.
func Writable(path string) bool {
	path, err := partfile.Target(path)
	return err == nil && unix.Access(path, unix.W_OK) == nil && unix.Access(filepath.Dir(path), unix.W_OK) == nil
}
