package fsk

import "math"

// Channel receives one pair of tones at one rate.
type Channel struct {
	Levels
	baud     float64
	tones    Tones
	tuning   tuning
	beganAt  float64 // wide samples: time of grid point 0
	blocks   int64   // listened to
	overture int64   // blocks in which tuning stays
}

// tuning follows the tones: both together quickly, with their drift, and their distance slowly.
type tuning struct {
	drift float64 // Hz a block
	seen  [2]complex128
}

const (
	// The loop that tunes: a step of an error is corrected in about a second, a drift of 1 Hz/s is learnt in three.
	// By the noise of elements at 8 dB it wanders by less than 1 Hz, which costs the filters of 22 ms 0.01 dB.
	tuneShare  = 0.08
	driftShare = 0.0015
	shiftShare = 0.03
	tuneMemory = 0.85 // of what was seen, from block to block
	mostDrift  = 3 * BlockSeconds
)

// Begin forgets everything and listens for tones at two frequencies in Hz, from a block on. power is the level of either at first,
// noise what there is beside it in the filter of an element; both as |z|² of the wide baseband.
func (c *Channel) Begin(markHz, spaceHz, baud float64, power, noise [2]float32, block int64) {
	c.baud = baud
	c.beganAt = float64(block * BlockLength)
	c.blocks, c.overture = 0, 0
	c.tuning = tuning{}
	c.tones.begin(markHz, spaceHz, baud)
	c.Levels.begin(baud, power, noise)
}

// Bound has likelihoods reckon with a level of that many times the noise of an element at most, in place of what holds for HF; to be
// called after Begin.
func (c *Channel) Bound(ratio float32) { c.most = ratio }

// Stay has the tuning stay as it is for the next blocks.
func (c *Channel) Stay(blocks int64) { c.overture = c.blocks + blocks }

// Listen takes a block of the wide baseband, with the weights of its hops.
func (c *Channel) Listen(z []complex64, weight []float32) {
	c.tones.listen(z, weight)
	c.take(&c.tones)
	if c.blocks++; c.blocks > c.overture {
		c.follow()
	} else {
		c.turn = [2]complex128{}
	}
}

// follow tunes. The halves of an element are half an element apart, so a tone off by f Hz turns by π·f/baud from one
// to the other.
func (c *Channel) follow() {
	t := &c.tuning
	var off, sure [2]float64
	for k := range off {
		t.seen[k] = t.seen[k]*tuneMemory + c.turn[k]
		re, im := real(t.seen[k]), imag(t.seen[k])
		off[k] = math.Atan2(im, re) * c.baud / math.Pi
		sure[k] = math.Hypot(re, im)
	}
	c.turn = [2]complex128{}
	all := sure[0] + sure[1]
	if !(all > 1e-30) {
		return
	}
	common := (off[0]*sure[0] + off[1]*sure[1]) / all
	t.drift = min(max(t.drift+driftShare*common, -mostDrift), mostDrift)
	// The distance moves only as far as both are seen.
	apart := shiftShare * (off[0] - off[1]) * 2 * min(sure[0], sure[1]) / all
	move := tuneShare*common + t.drift
	hz := c.tones.hz
	c.tones.tune(hz[0]+move+apart, hz[1]+move-apart)
	// What was seen is seen turned back by what has been corrected.
	for k := range t.seen {
		moved := c.tones.hz[k] - hz[k]
		s, co := math.Sincos(-math.Pi * moved / c.baud)
		t.seen[k] *= complex(co, s)
	}
}

// Time is that of a grid point, in wide samples since the first.
func (c *Channel) Time(g int64) float64 { return c.beganAt + float64(g)*c.tones.step }

// Hz are the frequencies of the tones in the audio, as they are followed.
func (c *Channel) Hz() [2]float64 { return c.tones.hz }

// Drift is that of both tones, in Hz a block.
func (c *Channel) Drift() float64 { return c.tuning.drift }

// Baud is the rate it was begun with.
func (c *Channel) Baud() float64 { return c.baud }

// Excess is that of the power in the element at a grid point; see [Front.Excess].
func (c *Channel) Excess(f *Front, g int64) float64 { return f.Excess(c.Time(g), c.Time(g+PerElement)) }
