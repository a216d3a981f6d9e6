//go:build unix

package soundring

import (
	"os/signal"
	"syscall"
	"testing"
	"time"
)

// limitFiles has files grow to some bytes at most, as if the disk was full, until it is called with 0.
func limitFiles(t *testing.T, bytes uint64) {
	t.Helper()
	signal.Ignore(syscall.SIGXFSZ)
	var l syscall.Rlimit
	must(t, syscall.Getrlimit(syscall.RLIMIT_FSIZE, &l))
	if l.Cur = bytes; bytes == 0 {
		l.Cur = l.Max
	}
	must(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &l))
}

// While nothing can be written sound waits for ten seconds, and what is beyond them is counted. What waited is written then, and
// goes on where it was cut.
func TestFull(t *testing.T) {
	defer limitFiles(t, 0)
	for name, c := range map[string]struct{ seconds, lost int }{"waits": {9, 0}, "overflows": {30, 30 - mostQueued}} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			r := open(t, dir, Config{})
			x := sound((10+c.seconds)*rate, 7)
			second := func(n int) {
				r.Write(x[n*rate:(n+1)*rate], noon.Add(time.Duration(n)*time.Second))
			}
			for n := range 5 {
				second(n)
				settle(r)
			}
			limitFiles(t, 20_000)
			for n := range c.seconds {
				second(5 + n)
				for range 1000 {
					if n > 0 || r.Stats().Trouble != nil {
						break
					}
					time.Sleep(time.Millisecond)
				}
			}
			if r.Stats().Trouble == nil {
				t.Fatal("no trouble")
			}
			limitFiles(t, 0)
			for range 5000 {
				if r.Stats().Trouble == nil {
					break
				}
				time.Sleep(time.Millisecond)
			}
			settle(r)
			for n := range 5 {
				second(5 + c.seconds + n)
				settle(r)
			}
			must(t, r.Close())
			s := r.Stats()
			got, _ := readAll(t, dir, noon, noon.Add(time.Hour))
			if lost := int(s.Dropped); lost < (c.lost-1)*rate || lost > (c.lost+1)*rate || c.lost == 0 && lost != 0 || s.Trouble != nil {
				t.Errorf("%+v", s)
			}
			if c.lost == 0 {
				near(t, name, got, x)
			} else {
				near(t, name, got[:14*rate], x[:14*rate])
				near(t, name, got[len(got)-5*rate:], x[len(x)-5*rate:])
			}
		})
	}
}
