package psk

import (
	"math"

	"ionoscribe/demod"
)

// Events are called from inside Write and Flush, in order; nil is "not wanted"; a hook must not call the decoder.
type Events struct {
	Char  func(Char)
	State func(State) // a signal is found or lost, or its pitch or strength has changed
}

// Char is a character that prints; a new line is one '\n'.
type Char struct {
	At         int64 // sample index at the middle of its first symbol, counted from the first sample written
	Signal     int   // from 1
	Rune       rune
	Confidence float64
}

// State tells what becomes of a signal.
type State struct {
	At        int64 // sample index
	Signal    int   // from 1
	Receiving bool  // it is received; the rest is about it
	PitchHz   float64
	SNR       float64 // dB in 2500 Hz
}

// Settings are those of what is received.
func (s State) Settings() Settings { return Settings{} }

// Decoder prints the signals in a stream of samples. It is one goroutine's at a time and starts none.
type Decoder struct {
	config Config
	events Events
	base   int64 // sample index of the first wide sample
	total  int64 // samples written

	baseband *demod.Baseband
	pending  []complex64
	ring     []complex64 // the last ringLength samples, twice, so that any stretch is in one piece
	done     int64       // wide samples in it
	nextLook int64
	credit   float64 // candidates that may be tried

	finder    *finder
	receivers []*receiver // at first those that are in use
	used      int
	told      []State // of each receiver
	signals   int
}

const (
	ringLength = 1 << 15                       // 8.2 s
	chunk      = symbolLength * 4              // wide samples, 0.13 s, in which everything goes on
	lookEvery  = spectrumLength / 2            // 0.5 s
	trialsEach = 3.0                           // candidates that are tried a look, in the mean,
	mostCredit = 30.0                          // and at most
	flushed    = window*symbolLength + 4*chunk // silence until everything is decided

	// A block is printed if its bits are so sure in the mean, 2p-1: those of noise have 0.3, of a signal at the limit 0.95.
	leastSure = 0.7
	// firstSure is the confidence of the first character: noise before a signal makes others.
	firstSure = 0.9
	// A signal is lost when it has not been so steady for a while.
	keepSteady = 0.22
	mostPoor   = 6 * 31 // symbols, 6 s
)

// New makes a decoder; it fails if c is not valid.
func New(c Config, e Events) (*Decoder, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	b, err := demod.NewBaseband(demod.BasebandConfig{SampleRate: c.SampleRate, OutputRate: wideRate, CentreHz: wideCentreHz, PassHz: widePassHz})
	if err != nil {
		return nil, err
	}
	d := &Decoder{config: c, events: e, baseband: b, pending: make([]complex64, 0, 4096), ring: make([]complex64, 2*ringLength), finder: newFinder()}
	for range c.Signals {
		d.receivers = append(d.receivers, new(receiver))
	}
	d.told = make([]State, c.Signals)
	d.reset()
	return d, nil
}

func (d *Decoder) reset() {
	d.base = d.total
	d.baseband.Reset()
	d.pending = d.pending[:0]
	d.done, d.nextLook = 0, spectrumLength
	d.finder.count, d.credit = 0, mostCredit
	d.used = 0
	d.signals = 0
	clear(d.ring)
}

// Write takes samples in [-1, 1]; NaN and infinities count as silence. The block is neither kept nor changed.
func (d *Decoder) Write(block []float32) {
	const most = 4096 // keeps the work space small
	for len(block) > 0 {
		n := min(len(block), most)
		d.pending = d.baseband.Append(d.pending, block[:n])
		d.total += int64(n)
		block = block[n:]
		d.drain()
	}
}

// Flush delivers the characters that were heard up to now, then starts afresh. Sample indices go on.
func (d *Decoder) Flush() {
	if d.total > d.base {
		d.pending = d.baseband.Flush(d.pending)
		d.drain()
		d.look()
		for range int(flushed / chunk) {
			for range chunk {
				d.pending = append(d.pending, 0)
			}
			d.drain()
		}
		for d.used > 0 {
			d.lose(0)
		}
	}
	d.reset()
}

func (d *Decoder) drain() {
	for len(d.pending) >= chunk {
		d.step(d.pending[:chunk])
		d.pending = d.pending[:copy(d.pending, d.pending[chunk:])]
	}
}

// step takes a chunk of the wide baseband.
func (d *Decoder) step(z []complex64) {
	at := int(d.done % ringLength)
	copy(d.ring[at:], z)
	copy(d.ring[at+ringLength:], z)
	d.done += chunk
	for i := 0; i < d.used; i++ {
		d.listen(d.receivers[i], i, z)
		if r := d.receivers[i]; r.poor > mostPoor {
			d.lose(i)
			i--
		}
	}
	if d.done >= d.nextLook {
		d.nextLook += lookEvery
		d.look()
	}
}

// latest are the last n wide samples.
func (d *Decoder) latest(n int) []complex64 {
	end := int(d.done%ringLength) + ringLength
	return d.ring[end-n : end]
}

// look searches for signals that are not received yet.
func (d *Decoder) look() {
	if d.done < spectrumLength {
		return
	}
	d.finder.hear(d.latest(spectrumLength))
	if d.used == len(d.receivers) || d.done < acquireLength {
		return
	}
	low, high := LeastPitchHz, MostPitchHz
	if c := d.config.PitchHz; c != 0 {
		low, high = max(low, c-pitchRangeHz), min(high, c+pitchRangeHz)
	}
	d.credit = min(d.credit+trialsEach, mostCredit)
	for _, c := range d.finder.candidates(low, high) {
		if d.near(c.hz) {
			continue
		}
		if d.credit < 1 || d.used == len(d.receivers) {
			return
		}
		d.credit--
		a, ok := d.acquire(c.hz)
		if ok && !d.near(a.hz) && a.hz > low-5 && a.hz < high+5 {
			d.begin(a)
		}
	}
}

// acquire judges a pitch. Half a baud beside a signal there is a weaker likeness of it.
func (d *Decoder) acquire(hz float64) (a acquired, ok bool) {
	z := d.latest(acquireLength)
	if a, ok = d.finder.acquire(hz, z); !ok && d.done >= ringLength {
		z = d.latest(longLength)
		a, ok = d.finder.acquire(hz, z)
	}
	if !ok {
		return a, false
	}
	for _, beside := range [...]float64{-Baud / 2, Baud / 2} {
		if b, is := d.finder.acquire(a.hz+beside, z); is && b.steady > a.steady {
			a = b
		}
	}
	return a, true
}

// near says that a pitch is that of a signal that is received.
func (d *Decoder) near(hz float64) bool {
	for _, r := range d.receivers[:d.used] {
		if math.Abs(r.filter.hz-hz) < leastHz {
			return true
		}
	}
	return false
}

// begin receives a signal, from as long ago as is remembered.
func (d *Decoder) begin(a acquired) {
	n := int(min(d.done, ringLength))
	r := d.receivers[d.used]
	d.signals++
	r.number = d.signals
	behind := int64(n)/stepLength - a.points // the grid of the acquisition began later
	a.timing = (a.timing + behind) % perSymbol
	a.hz -= a.drift * float64(int64(n)/stepLength-a.points/2) * stepLength / wideRate // as it was in the beginning
	r.begin(a, d.done-int64(n))
	d.told[d.used] = State{}
	d.used++
	d.listen(r, d.used-1, d.latest(n))
}

// listen has a receiver take samples.
func (d *Decoder) listen(r *receiver, place int, z []complex64) {
	var ratios [block]float64
	for ; len(z) >= stepLength; z = z[stepLength:] {
		if !r.listen(z[:stepLength]) {
			continue
		}
		if r.steady.value() < keepSteady || !r.dip.natural() {
			r.poor++
		} else {
			r.poor = 0
		}
		if !r.take(r.last, r.begun+r.points*stepLength-pulseLength/2) {
			continue
		}
		at := r.trellis.at
		r.bits(&ratios)
		sure := 0.0
		for _, ratio := range ratios {
			sure += math.Tanh(math.Abs(ratio)/2) / block
		}
		for k, ratio := range ratios {
			if c, ok := r.speller.bit(ratio, at[k+1]); ok && sure > leastSure && r.poor < block && (d.told[place].Receiving || c.confidence > firstSure) {
				d.print(r, place, c)
			}
		}
	}
}

func (d *Decoder) print(r *receiver, place int, c spelled) {
	if t := &d.told[place]; !t.Receiving || math.Abs(t.PitchHz-r.filter.hz) > 2 || math.Abs(t.SNR-d.snr(r)) > 3 {
		*t = State{At: min(d.index(d.done), d.total), Signal: r.number, Receiving: true, PitchHz: r.filter.hz, SNR: d.snr(r)}
		if d.events.State != nil {
			d.events.State(*t)
		}
	}
	if d.events.Char != nil {
		d.events.Char(Char{At: min(max(d.index(c.at), d.base), d.total), Signal: r.number, Rune: c.char, Confidence: c.confidence})
	}
}

// snr is that of a receiver, in dB in 2500 Hz: the mean power is three quarters of that in the middles of symbols where half of
// them are reversed.
func (d *Decoder) snr(r *receiver) float64 {
	signal := 0.75 * max(r.level-r.trellis.noise, 0)
	noise := r.trellis.noise * pulseEnergy / wideRate * 2500
	return min(max(10*math.Log10((signal+1e-30)/(noise+1e-30)), -60), 60)
}

// lose gives up a signal.
func (d *Decoder) lose(i int) {
	if t := d.told[i]; t.Receiving && d.events.State != nil {
		d.events.State(State{At: min(d.index(d.done), d.total), Signal: t.Signal})
	}
	d.used--
	d.receivers[i], d.receivers[d.used] = d.receivers[d.used], d.receivers[i]
	d.told[i] = d.told[d.used]
}

// index turns wide samples into a sample index.
func (d *Decoder) index(wide int64) int64 {
	return d.base + int64(math.Round(float64(wide)*d.config.SampleRate/wideRate))
}
