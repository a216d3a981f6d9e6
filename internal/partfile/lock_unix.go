//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package partfile

import (
	"os"
	"syscall"
)

// lock also succeeds where the file system knows no locks: then nothing is kept from anybody.
func lock(f *os.File) bool {
	err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	return err != syscall.EWOULDBLOCK
}
