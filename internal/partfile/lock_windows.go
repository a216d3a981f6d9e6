package partfile

import (
	"math"
	"os"

	"golang.org/x/sys/windows"
)

// lock locks a byte far behind the end of the file, which can be read and written all the same.
func lock(f *os.File) bool {
	at := windows.Overlapped{Offset: math.MaxUint32 - 1, OffsetHigh: math.MaxInt32}
	err := windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, &at)
	return err != windows.ERROR_LOCK_VIOLATION
}
