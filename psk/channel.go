package psk

import (
	"math"
	"math/cmplx"
)

const (
	step       = 16                     // wide samples summed to one of the channel: 250 a second
	perSymbol  = blockLength / step     // 8
	taps       = 2*perSymbol - 1        // of the matched filter: the pulse lasts two symbols
	symbolTime = blockLength / wideRate // s

	// The pitch follows with a loop of second order, critically damped (second = first²/4): 30 symbols or 1 s.
	firstGain, secondGain = 0.03, 0.03 * 0.03 / 4
	timingGain            = 1.0 / 64 // of the mean energy at each place in the symbol
	evidenceGain          = 1.0 / 64
	// cos of twice the turn has the mean 0 and a standard deviation of 0.06 over 64 symbols in noise: six of those lock.
	lockEvidence = 0.38
	loseEvidence = 0.18
	// leastDips is the relative strength of the line that reversals make at the symbol rate: a plain carrier has none.
	leastDips     = 0.05
	trialSymbols  = 220 // until a channel that is not locked is given up: those kept, and 3 s
	aliasSymbols  = 64  // tell one of three pitches: each is evidence of some 2
	settleSymbols = 32  // from the lock on, until the timing is right
	// A character is printed if the mean evidence of the symbols around it is enough.
	around         = 48
	aroundEvidence = 0.35
	doubtEvidence  = 0.2 // more, of one that is not sure at all: it may be noise at the end of a signal
	// Of four phases less is asked, since the fourth power has more noise and more of the overlap of pulses; these are the least shares
	// with which noise, speech, music and other modes printed nothing.
	fourLock, fourAround = 0.5, 0.4
	// fourReversals of them: only a quarter of the turns are reversals, and 64 symbols have some 16 ± 5.
	fourReversals = 0.5
	// leastReversals is their share: each character has two at least in twelve bits.
	leastReversals = 0.12
	// mostMiddle is the energy midway through reversals over that at the symbols. It is noise alone; a change of tone leaves half.
	// More of it is allowed once a signal is locked, since noise comes and goes.
	mostMiddle, loseMiddle = 0.35, 0.6
)

// pulse is the matched filter: amplitude goes to the next symbol as a raised cosine (ITU-R M.2034).
var pulse = func() (p [taps]float32) {
	for i := range p {
		p[i] = float32(1+math.Cos(math.Pi*float64(i-taps/2)/perSymbol)) / 2
	}
	return p
}()

// heard is a character.
type heard struct {
	at         int64 // wide sample
	hz         float64
	char       rune
	confidence float64
}

// channel receives one signal.
type channel struct {
	used, locked bool
	off          float64 // Hz that are to be added to the pitch, from the start on,
	moved        bool    // and were
	four         bool    // phases
	number       int     // of the signal, once it is told
	hz, drift    float64 // Hz from the middle, and what is added in each symbol
	n            int64   // next wide sample
	phase        float64 // turns

	sum      complex128
	last     [taps]complex64
	energy   [perSymbol]float64
	count8   int64 // channel samples
	due      int64 // the one at which the next symbol is decided
	before   complex128
	symbols  int
	since    int // the symbol at which it was locked
	evidence float64
	meanSize float64 // of products of neighbouring symbols

	recent    [around]float64 // evidence of symbols
	recentSum float64
	squares   [around / 2]complex128 // of turns, the latest
	reversals float64                // share of symbols
	middle    float64                // mean energy midway through reversals, and
	full      float64                // at symbols
	ys        [perSymbol]complex64

	// Symbols until the channel has settled: trials are many, and the trellis is most of the work.
	waiting [trialSymbols + settleSymbols + 1]complex128
	waits   int
	proofs  [512]float64 // mean evidence of the symbols around one, by the number of the last of them
	trellis trellis
	other   trellis             // of four phases, on the other sideband
	held    [around / 2]float64 // decisions, until the evidence around them is known
	spelled int                 // symbols
	speller speller
	joiner  joiner
	ready   [trialSymbols + settleSymbols + 1]heard // characters that were decided on, and how many were taken
	count   int
	taken   int
}

func (c *channel) start(hz float64, at int64, four bool, set *Charset) {
	*c = channel{used: true, four: four, hz: hz, n: at}
	c.speller.charset, c.joiner.charset = set, set
}

// settled says that the channel is locked, and has been long enough for its timing to be right.
func (c *channel) settled() bool { return c.locked && c.symbols-c.since >= settleSymbols }

// lost says that there is nothing (more) to hear.
func (c *channel) lost() bool {
	return !c.locked && (c.symbols > trialSymbols || c.number != 0)
}

func (c *channel) write(z []complex64) {
	turn := cmplx.Rect(1, -2*math.Pi*c.hz/wideRate)
	w := cmplx.Rect(1, -2*math.Pi*c.phase)
	for i, v := range z {
		c.sum += complex128(v) * w
		w *= turn
		if i%step == step-1 {
			c.sample(complex64(c.sum))
			c.sum = 0
		}
	}
	c.n += int64(len(z))
	c.phase += c.hz / wideRate * float64(len(z))
	c.phase -= math.Floor(c.phase)
}

func (c *channel) sample(z complex64) {
	copy(c.last[:], c.last[1:])
	c.last[taps-1] = z
	var y complex64
	for i, v := range c.last {
		y += v * complex(pulse[i], 0)
	}
	c.ys[c.count8%perSymbol] = y
	e := &c.energy[c.count8%perSymbol]
	*e += (float64(real(y)*real(y)+imag(y)*imag(y)) - *e) * max(timingGain, 1/float64(c.count8/perSymbol+1))
	if c.count8 >= c.due {
		c.due = c.count8 + perSymbol + c.late()
		c.symbol(complex128(y))
	}
	c.count8++
}

// late is by how many channel samples the next symbol is to be later: one, or none.
func (c *channel) late() int64 {
	now, best := int(c.count8%perSymbol), 0
	for i, e := range c.energy {
		if e > c.energy[best] {
			best = i
		}
	}
	off := (best - now + perSymbol + perSymbol/2) % perSymbol
	switch off -= perSymbol / 2; {
	case c.energy[best] < 1.02*c.energy[now]: // as good: do not hunt
		return 0
	case off < 0:
		return -1
	case off > 0:
		return 1
	}
	return 0
}

// dips is the strength of the line at the symbol rate in the energy, relative to its mean.
func (c *channel) dips() float64 {
	var line complex128
	var sum float64
	for i, e := range c.energy {
		line += cmplx.Rect(e, 2*math.Pi*float64(i)/perSymbol)
		sum += e
	}
	return cmplx.Abs(line) / (sum + 1e-30)
}

func (c *channel) symbol(y complex128) {
	d := y * cmplx.Conj(c.before)
	c.before = y
	c.symbols++
	size := cmplx.Abs(d)
	c.meanSize += (size - c.meanSize) * max(evidenceGain, 1/float64(c.symbols))
	var square complex128 // none in silence
	if size > 0 {
		square = d * d / complex(size*size, 0)
	}
	phases := 2.0
	if c.four { // a turn of a quarter is none in the fourth power
		square *= square
		phases = 4
	}
	c.evidence += (real(square) - c.evidence) * evidenceGain
	c.squares[c.symbols%len(c.squares)] = square
	c.recentSum += real(square) - c.recent[c.symbols%around]
	c.recent[c.symbols%around] = real(square)
	off := min(size/(c.meanSize+1e-30), 1) * cmplx.Phase(square) / phases / (2 * math.Pi * symbolTime) // Hz
	c.drift += secondGain * off
	c.hz += c.drift + firstGain*off
	gain := max(evidenceGain, 1/float64(c.symbols))

	reversed := 0.0
	if real(d) < 0 && (!c.four || real(d) < -size*math.Sqrt2/2) {
		reversed = 1
		mid := complex128(c.ys[(c.count8+perSymbol/2)%perSymbol])
		c.middle += (real(mid)*real(mid) + imag(mid)*imag(mid) - c.middle) * evidenceGain
		c.full += (size - c.full) * evidenceGain
	}
	c.reversals += (reversed - c.reversals) * gain
	most := mostMiddle
	if c.locked {
		most = loseMiddle
	}
	odd := c.reversals < c.least(leastReversals, fourReversals) || c.middle > most*c.full // no phase telegraphy

	switch {
	case c.evidence > c.least(lockEvidence, fourLock) && !odd && c.dips() > leastDips:
		if !c.locked {
			c.since = c.symbols
		}
		c.locked = true
	case c.evidence < c.least(loseEvidence, fourLock) || odd:
		c.locked = false
	}
	c.decide(y)
}

// least is what is asked of evidence for two phases, or a share of it for four.
func (c *channel) least(evidence, share float64) float64 {
	if c.four {
		return share * evidence
	}
	return evidence
}

// decide passes a symbol to the trellis, with all before it once the channel has settled.
func (c *channel) decide(y complex128) {
	c.proofs[c.symbols%len(c.proofs)] = c.recentSum / around
	if !c.settled() && c.number == 0 {
		if c.waits < len(c.waiting) {
			c.waiting[c.waits] = y
			c.waits++
		}
		return
	}
	if c.taken == c.count {
		c.count, c.taken = 0, 0
	}
	if c.waits > 0 {
		if c.four {
			if !c.moved {
				c.off = c.alias()
			}
			if c.off != 0 {
				return
			}
			c.trellis.begin(fourPhases, c.waiting[:c.waits])
			c.other.begin(fourMirrored, c.waiting[:c.waits])
		} else {
			c.trellis.begin(twoPhases, c.waiting[:c.waits])
		}
	}
	for i, w := range c.waiting[:c.waits] {
		c.spell(w, c.symbols-c.waits+i)
	}
	c.waits = 0
	c.spell(y, c.symbols)
}

// alias is by how many Hz the pitch of four phases is off that has settled: in the fourth power a pitch that makes a quarter of a turn
// more in each symbol is as good, but the code says which is right.
func (c *channel) alias() (hz float64) {
	waiting := c.waiting[max(0, c.waits-aliasSymbols):c.waits]
	most := math.Inf(-1)
	for _, more := range []int{0, 1, 3} {
		for _, by := range []*turns{fourPhases, fourMirrored} {
			c.trellis.begin(by, c.waiting[:c.waits])
			for i, y := range waiting {
				c.trellis.take(y * quarters[-more*i&3])
			}
			if c.trellis.evidence > most {
				most, hz = c.trellis.evidence, float64((more+1)&3-1)*Baud/4
			}
		}
	}
	return hz
}

// spell makes characters of the bits that the trellis gives.
func (c *channel) spell(y complex128, symbol int) {
	held := &c.held[symbol%len(c.held)]
	ratio := *held
	*held = c.bit(y)
	if c.spelled++; c.spelled <= late+len(c.held) {
		return
	}
	at := symbol - late - len(c.held)
	proof := c.proofs[(at+around/2)%len(c.proofs)]
	for _, s := range c.speller.bit(ratio, int64(at)) {
		doubt := doubtEvidence
		if c.four { // hardly any character of text is doubtful
			doubt = 3 * doubtEvidence
		}
		if proof > c.least(aroundEvidence, fourAround)+doubt*(1-s.confidence) {
			c.hear(c.joiner.add(s))
		}
	}
}

// hear makes characters ready.
func (c *channel) hear(chars []joined) {
	for _, j := range chars {
		if c.count < len(c.ready) {
			c.ready[c.count] = heard{c.n - (int64(c.symbols)-j.at)*blockLength, c.hz, j.char, j.confidence}
			c.count++
		}
	}
}

// bit is the log-likelihood ratio of the bit that is ready; of four phases by the sideband that fits better. Idle signals fit both, but
// text that has begun is in view before its first bit is decided.
func (c *channel) bit(y complex128) float64 {
	ratio := c.trellis.take(y)
	if !c.four {
		return ratio
	}
	if mirrored := c.other.take(y); c.other.fit > c.trellis.fit {
		return mirrored
	}
	return ratio
}

// snr is in dB in 2500 Hz, of two phases by how much phases stray. Of the phase φ of a vector in noise, Es/N0 being γ, the mean of exp 2iφ is
// 1 - (1-exp(-γ))/γ, and of the difference of two, which are independent, the square of that. Signals begin with reversals, of whose
// mean power only 2/3 are in the symbols, because their pulses overlap.
func (c *channel) snr() float64 {
	if c.four {
		return 10 * math.Log10(c.trellis.level/c.trellis.noise/(2500*symbolTime))
	}
	var sum complex128
	for _, v := range c.squares {
		sum += v
	}
	evidence := math.Sqrt(cmplx.Abs(sum) / float64(len(c.squares)))
	low, high := -20.0, 50.0 // dB
	for high-low > 0.1 {
		middle := (low + high) / 2
		ratio := math.Pow(10, middle/10)
		if 1-(1-math.Exp(-ratio))/ratio < evidence {
			low = middle
		} else {
			high = middle
		}
	}
	return low - 10*math.Log10(2500*symbolTime*2/3)
}

// proof is the evidence that the signal is sent as it is received, and that it is on the other sideband.
func (c *channel) proof() (evidence float64, inverted bool) {
	if c.four && c.other.evidence > c.trellis.evidence {
		return c.other.evidence, true
	}
	return c.trellis.evidence, false
}

// next is the first character that was not taken yet.
func (c *channel) next() (h heard, ok bool) {
	if c.taken == c.count {
		return h, false
	}
	c.taken++
	return c.ready[c.taken-1], true
}
