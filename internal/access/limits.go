package access

import (
	"hash/maphash"
	"net/netip"
	"time"

	"golang.org/x/time/rate"
)

// Tries to log in: a person mistypes a few times in a row, and a program that guesses is slowed down to 6 a minute from each
// address. A user has more, so that one address cannot shut the user out.
const (
	addressTries, addressEvery = 5, 10 * time.Second
	userTries, userEvery       = 10, 3 * time.Second
)

// limits are how often something may be done for each of any number of names. Names share a fixed number of limits by their hash
// (with a secret seed), so that whoever invents names fills no memory; two names have the same one rarely.
type limits struct {
	seed maphash.Seed
	all  [1024]*rate.Limiter
}

func newLimits(tries int, every time.Duration) *limits {
	l := &limits{seed: maphash.MakeSeed()}
	for i := range l.all {
		l.all[i] = rate.NewLimiter(rate.Every(every), tries)
	}
	return l
}

// take uses one try of a name; if there is none, it says how long to wait for it.
func (l *limits) take(name string) (wait time.Duration) {
	limit := l.all[maphash.String(l.seed, name)%uint64(len(l.all))]
	r := limit.Reserve()
	if wait = r.Delay(); wait > 0 {
		r.Cancel()
	}
	return wait
}

// household is what one client has: an address, or a network of 64 bits of IPv6.
func household(a netip.Addr) string {
	a = a.Unmap().WithZone("")
	if a.Is6() {
		p, _ := a.Prefix(64) // all of them have it
		return p.String()
	}
	return a.String()
}
