package station

import (
	"context"
	"sync"
	"time"
)

// fake is a source, and the clock by which it gives samples; the clock can be set anew.
type fake struct {
	begin time.Time

	mutex sync.Mutex
	done  int64         // samples that were given
	set   time.Duration // by which the clock was set
	shown time.Duration // by which it was set when samples came last, as a source knows it
}

func duration(samples int64) time.Duration { return time.Duration(samples) * time.Second / rate }

// now is UTC by the clock.
func (f *fake) now() time.Time {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	return f.begin.Add(duration(f.done) + f.set)
}

// running runs on evenly.
func (f *fake) running() time.Time {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	return f.begin.Add(duration(f.done))
}

// time is that of a sample, as sources that read the clock with each block have it.
func (f *fake) time(sample int64) time.Time {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	return f.begin.Add(duration(sample) + f.shown)
}

// step sets the clock.
func (f *fake) step(d time.Duration) {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	f.set += d
}

func (f *fake) play(take func(Block), x []float32) {
	for len(x) > 0 {
		b := x[:min(rate/10, len(x))]
		x = x[len(b):]
		f.mutex.Lock()
		f.done += int64(len(b))
		f.shown = f.set
		f.mutex.Unlock()
		take(Block{Audio: b})
	}
}

func (f *fake) input(each func(ctx context.Context, take func(Block)) error) *Input {
	return &Input{Path: "fake", SampleRate: rate, Live: true, Time: f.time, TimeFrom: func() string { return "clock" }, Each: each}
}
