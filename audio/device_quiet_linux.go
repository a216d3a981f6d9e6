//go:build cgo

package audio

import (
	"os"

	"golang.org/x/sys/unix"
)

// quietly calls f while what is written to standard error goes nowhere: ALSA's library writes tens of lines there about
// every device that it cannot open, and offers no way to Go to stop it. What others write meanwhile, a fraction of a
// second, is lost too.
func quietly(f func()) {
	null, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	if err != nil {
		f()
		return
	}
	defer null.Close()
	const standardError = 2
	saved, err := unix.FcntlInt(standardError, unix.F_DUPFD_CLOEXEC, 3)
	if err != nil {
		f()
		return
	}
	defer unix.Close(saved)
	if unix.Dup3(int(null.Fd()), standardError, 0) == nil {
		defer unix.Dup3(saved, standardError, 0)
	}
	f()
}
