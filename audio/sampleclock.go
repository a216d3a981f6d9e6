package audio

import (
	"math"
	"sync"
	"time"

	"ionoscribe/demod"
)

// instant is a moment by both clocks of the system: one that runs evenly and counts from whenever it was begun, and one
// that tells UTC and may be set.
type instant struct {
	running time.Duration
	utc     time.Time
}

var runningSince = time.Now()

func systemInstant() instant { return instantOf(time.Now()) }

// instantOf takes a time of the system apart, which carries both.
func instantOf(t time.Time) instant { return instant{t.Sub(runningSince), t.Round(0).UTC()} }

// sampleClock tells when each sample of a live source was taken. A sound card counts time by a crystal of its own, which
// is up to 100 millionths off: 9 s a day.
//
// What is measured is the offset, the running time less the duration of all samples that were read by then. A sample is
// read after it was taken, never before, so the least offset in a window is near the true one; the windows are the
// measurements of a Kalman filter whose states are the offset and its drift (R. G. Brown, P. Y. C. Hwang, "Introduction to
// Random Signals and Applied Kalman Filtering", 3rd ed., 1997, section 10.4, on the model of clocks; from memory). UTC is
// that of the system's clock as it is set now: when that is set anew, so are the times of samples, and the drift is not
// touched.
//
// A recording that comes through a pipe, faster than it sounds, moves the offset back and back, so that nothing of it is
// stamped with a time to come.
type sampleClock struct {
	now   func() instant
	rate  demod.Rate
	order time.Time // of sample 0, if it was ordered

	mutex  sync.Mutex
	last   instant // of the latest read
	done   int64   // samples that were read
	first  float64 // offset at first, seconds
	at     float64 // seconds of samples to which the estimate belongs
	offset float64 // seconds
	drift  float64 // seconds a second
	p      [3]float64
	begun  float64 // seconds of samples where the window begins
	least  float64 // offset in it
	fresh  bool    // it is the first one of these measurements
	late   int     // windows in a row that were too late
}

const (
	clockWindow = 60.0 // seconds
	// A window's least offset is late by what a decoder's pass and the sound system's buffers leave: milliseconds.
	clockNoise = 5e-3 // seconds, standard deviation
	clockFirst = 0.1  // seconds, of the first offset
	clockDrift = 1e-4 // of the drift: what crystals of sound cards keep to (common practice)
	// clockWander is the power density of what changes the drift: one millionth in an hour, by the room's temperature (common practice).
	clockWander = 1e-12 / 3600
	// What is astray by more is no jitter: earlier, the offset was wrong until now; later for clockPatience windows in a
	// row, samples were lost.
	clockAstray   = 0.1 // seconds
	clockPatience = 5
	// clockHeld seconds are more than what waits in a live pipe: then it is a recording.
	clockHeld = 30
)

// newSampleClock begins with the next sample, which is taken now, or was at first if that is known.
func newSampleClock(rate float64, now func() instant, first, order time.Time) *sampleClock {
	c := &sampleClock{now: now, rate: demod.Rate(rate), order: order, last: now()}
	c.first = c.last.running.Seconds()
	if !first.IsZero() {
		c.first -= c.last.utc.Sub(first).Seconds()
	}
	c.reset(c.first)
	return c
}

// reset has the offset measured anew from a first value on; the drift is kept.
func (c *sampleClock) reset(offset float64) {
	c.offset, c.least, c.late, c.fresh = offset, math.Inf(1), 0, true
	variance := c.p[2]
	if variance == 0 {
		variance = clockDrift * clockDrift
	}
	c.p = [3]float64{clockFirst * clockFirst, 0, variance}
}

// read notes that some more samples were read.
func (c *sampleClock) read(samples int) {
	if samples == 0 {
		return
	}
	now := c.now()
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.last = now
	c.done += int64(samples)
	seconds := float64(c.done) / float64(c.rate)
	offset := now.running.Seconds() - seconds
	switch early := c.expected(seconds) - offset; {
	case early > clockAstray:
		c.at, c.begun = seconds, seconds
		c.reset(offset)
		return
	case early > 0 && c.fresh:
		c.offset -= early
	}
	c.least = min(c.least, offset-c.drift*(seconds-c.begun))
	if seconds-c.begun < clockWindow {
		return
	}
	c.measure(c.least + c.drift*(seconds-c.begun))
	c.begun, c.least, c.fresh = seconds, math.Inf(1), false
}

// expected is the offset at a time of the samples, in seconds.
func (c *sampleClock) expected(seconds float64) float64 { return c.offset + c.drift*(seconds-c.at) }

// measure takes the offset that a window has at its end.
func (c *sampleClock) measure(offset float64) {
	seconds := float64(c.done) / float64(c.rate)
	dt := seconds - c.at
	astray := offset - c.expected(seconds)
	if astray > clockAstray {
		if c.late++; c.late == clockPatience {
			c.at = seconds
			c.reset(offset)
		}
		return
	}
	c.late = 0
	p := &c.p // variance of the offset, covariance, variance of the drift
	p[0] += 2*dt*p[1] + dt*dt*p[2] + clockWander*dt*dt*dt/3
	p[1] += dt*p[2] + clockWander*dt*dt/2
	p[2] += clockWander * dt
	total := p[0] + clockNoise*clockNoise
	k0, k1 := p[0]/total, p[1]/total
	c.offset, c.at = c.expected(seconds)+k0*astray, seconds
	c.drift += k1 * astray
	p[2] -= k1 * p[1]
	p[1] -= k1 * p[0]
	p[0] -= k0 * p[0]
}

// time is when a sample was taken, UTC, to the microsecond.
func (c *sampleClock) time(sample int64) time.Time { return c.exact(sample).Round(time.Microsecond) }

func (c *sampleClock) exact(sample int64) time.Time {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	seconds := float64(sample) / float64(c.rate)
	if !c.order.IsZero() {
		return c.order.Add(time.Duration(seconds * (1 + c.drift) * 1e9))
	}
	running := time.Duration((seconds + c.expected(seconds)) * 1e9)
	return c.last.utc.Add(running - c.last.running)
}

// error is by how much the source's clock is fast, in ppm: it counts so many more samples than its rate says.
func (c *sampleClock) error() float64 {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	return -c.drift * 1e6
}

// fast tells that more has come than a live source could have sent.
func (c *sampleClock) fast() bool {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	return c.first-c.offset > clockHeld
}
