package audio

import (
	"math"
	"math/rand/v2"
	"net/netip"
	"testing"
	"time"
)

// cardSource is a sound card in simulated time: it counts samples by a crystal that is wrong, hands them on in blocks of a
// second, and its reader is late by whatever the machine is busy with.
type cardSource struct {
	*sampleClock
	at    instant
	begin time.Time
	set   time.Duration // by which the system's clock was set
}

func newCardSource(rate float64) *cardSource {
	c := &cardSource{begin: time.Date(2031, 5, 4, 12, 0, 0, 0, time.UTC)}
	c.at.utc = c.begin
	c.sampleClock = newSampleClock(rate, func() instant { return c.at }, time.Time{}, time.Time{})
	return c
}

// hear reads a block that ends at a true time, late.
func (c *cardSource) hear(samples int, end, late time.Duration) {
	c.at = instant{end + late, c.begin.Add(end + late + c.set)}
	c.read(samples)
}

// A sound card whose crystal is 80 millionths off and swings by 5 with the day's temperature runs for 30 days. Its reader
// is late by 20 ms in the mean, and by up to 5 s for some minutes of each hour; the system's clock is set by an hour; and
// 3 s of samples are lost without a word. UTC is right within 0.2 s, but for some minutes after that loss.
func TestMonthOfSamples(t *testing.T) {
	const rate, days = 12000.0, 30
	for _, ppm := range []float64{80, -80} {
		rng := rand.New(rand.NewPCG(1, 2))
		c := newCardSource(rate)
		var end time.Duration // true time of the samples that were read
		worst, afterLoss := 0.0, 0.0
		for second := range days * 86400 {
			wrong := ppm + 5*math.Sin(2*math.Pi*float64(second)/86400)
			end += time.Duration(1e9 / (1 + wrong*1e-6))
			late := time.Duration(rng.ExpFloat64() * 20e6)
			if in := second % 3600; in > 600 && in < 900 {
				late += time.Duration(rng.Float64() * 5e9)
			}
			switch second {
			case 10 * 86400:
				c.set = time.Hour
			case 20*86400 + 1800:
				end += 3 * time.Second
			}
			c.hear(rate, end, late)
			astray := math.Abs(c.time(c.done).Sub(c.begin.Add(end + c.set)).Seconds())
			if lost := second - 20*86400 - 1800; lost >= 0 && lost < 600 {
				afterLoss = max(afterLoss, astray)
				continue
			}
			worst = max(worst, astray)
		}
		t.Logf("%g millionths: within %.3f s, %.3f s after a loss; found %.1f", ppm, worst, afterLoss, c.error())
		if worst > 0.2 || afterLoss > 3.2 || math.Abs(c.error()-ppm) > 7 {
			t.Errorf("%g millionths: %.3f s astray, %.3f s after a loss, found %.1f", ppm, worst, afterLoss, c.error())
		}
	}
}

// When the system's clock is set an hour forward, and back, the next read has the times of all samples right by it.
func TestClockSet(t *testing.T) {
	const rate = 12000
	c := newCardSource(rate)
	var end time.Duration
	for second := range 600 {
		switch second {
		case 200:
			c.set = time.Hour
		case 400:
			c.set = -time.Hour
		}
		end += time.Second
		c.hear(rate, end, time.Duration(second%7)*10*time.Millisecond)
		if astray := c.time(c.done).Sub(c.begin.Add(end + c.set)).Abs(); astray > 60*time.Millisecond {
			t.Fatalf("after %d s: %v astray", second, astray)
		}
	}
	if math.Abs(c.error()) > 1 {
		t.Errorf("its clock is found to be fast by %.1f millionths", c.error())
	}
}

// A pipe whose blocks wait now and then began when the one that waited least says, and an hour at once is a recording.
func TestPipeClock(t *testing.T) {
	c := newCardSource(12000)
	var end time.Duration
	for _, ms := range []int{400, 120, 50, 700} {
		end += time.Second
		c.hear(12000, end-100*time.Millisecond, time.Duration(ms)*time.Millisecond)
	}
	if d := c.time(0).Sub(c.begin); d != -50*time.Millisecond || c.fast() {
		t.Error(d, c.fast())
	}
	c.read(12000 * 3600)
	if last := c.time(c.done); last.After(c.at.utc) || !c.fast() {
		t.Error(last, c.at)
	}
}

// A clock that was ordered goes on from there, by the samples and what their clock is wrong by.
func TestOrderedClock(t *testing.T) {
	order := time.Date(2030, 1, 1, 0, 0, 0, 0, time.UTC)
	c := newCardSource(12000)
	c.order = order
	var end time.Duration
	for range 86400 {
		end += 999_950_002 * time.Nanosecond // 50 millionths fast
		c.hear(12000, end, 0)
	}
	if d := c.time(c.done).Sub(order) - end; d.Abs() > 10*time.Millisecond {
		t.Error(d)
	}
}

// A sender over a network whose clock is slow by 100 millionths, 8.6 s a day, is not late: for a day nothing is put in.
func TestSlowSenderIsNotLate(t *testing.T) {
	const rate = 800 // Hz: quicker
	f := &tcpFeed{rate: rate}
	for second := range 86400 {
		now := time.Unix(0, 0).Add(time.Duration(second)*time.Second + time.Duration(second)*100*time.Microsecond)
		if late, ready := f.pace.read(f, rate, now.Add(-10*time.Millisecond), now, true, false); late > 0 || !ready {
			t.Fatalf("TCP, after %d s: %d frames late", second, late)
		}
		f.pace.delivered += rate
	}
	s := &rtpStream{rate: rate, frame: 2, payload: 96}
	sound := make([]int16, rate)
	for second := range 86400 {
		now := time.Unix(0, 0).Add(time.Duration(second)*time.Second + time.Duration(second)*100*time.Microsecond)
		s.push(rtpBytes(96, uint16(second), uint32(second*rate), 1, sound...), netip.AddrPort{}, now)
		if _, silence := s.pop(nil); silence > 0 || s.stats.resets > 0 {
			t.Fatalf("RTP, after %d s: %s", second, s.report())
		}
	}
}
