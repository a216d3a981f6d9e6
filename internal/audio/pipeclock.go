package audio

import (
	"sync/atomic"
	"time"

	"ionoscribe/demod"
)

// pipeClock tells when the first sample of a pipe was taken. No sample is heard before it is taken, so n samples that
// are there by now began n/rate before now or earlier: the earliest of all such instants is the best one. Of a pipe that
// is live it is where waiting was least; a recording that comes faster than it sounds moves it back and back, so that
// nothing of it is stamped with a time to come.
type pipeClock struct {
	now   func() time.Time
	rate  demod.Rate
	first time.Time // when the first samples were there
	start atomic.Int64
	done  int64 // samples that were read
}

// pipeHeld is more than what waits in a live pipe: then it is a recording.
const pipeHeld = 30 * time.Second

func newPipeClock(rate float64, now func() time.Time) *pipeClock {
	p := &pipeClock{now: now, rate: demod.Rate(rate), first: now()}
	p.start.Store(p.first.UnixNano())
	return p
}

func (p *pipeClock) read(samples int) {
	p.done += int64(samples)
	if t := p.now().Add(-p.rate.Duration(p.done)).UnixNano(); t < p.start.Load() {
		p.start.Store(t)
	}
}

func (p *pipeClock) begin() time.Time { return time.Unix(0, p.start.Load()).UTC() }

// fast tells that more has come than a live source could have sent.
func (p *pipeClock) fast() bool { return p.first.Sub(p.begin()) > pipeHeld }
