//go:build unix

package decodertest

import "syscall"

// processorSeconds is the time that the processors have worked for this program.
func processorSeconds() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err) // cannot be, by POSIX
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}
