package psk

import (
	"errors"
	"fmt"

	"ionoscribe/demod"
	"ionoscribe/demod/narrow"
)

const (
	wideRate     = narrow.Rate // 128 samples a symbol
	wideCentreHz = 2000.0
	widePassHz   = 1800.0
	blockLength  = 128                 // wide samples that are dealt with at a time: a symbol
	keptLength   = 128 * 128           // wide samples in which signals are searched, 4.1 s
	searchBlocks = 32                  // 1 s between searches
	flushBlocks  = late + around/2 + 4 // of silence, until what is in the filters is decided

	// LeastPitchHz and MostPitchHz limit where signals are found.
	LeastPitchHz, MostPitchHz = 250.0, 3600.0
	usualOffHz                = 100.0

	// MaxSignals is the greatest number of signals that are received at once.
	MaxSignals = 40
	trials     = 8 // signals that are tried at once to find one
)

// Config is complete with SampleRate alone.
type Config struct {
	SampleRate float64 // Hz, 6000 to 192000; required
	PitchHz    float64 // of the carrier; zero: found
	OffHz      float64 // by which PitchHz may be off; zero: 100
	Signals    int     // received at once, up to MaxSignals; zero: one
	QPSK       bool    // four phases and a code, on either sideband; otherwise two phases
	Charset    string  // its name, see [FindCharset]
}

// Events are called from inside Write and Flush; nil is "not wanted"; a hook must not call the decoder.
type Events struct {
	Char  func(Char)
	State func(State)
}

// Char is a character as it was decided.
type Char struct {
	At         int64 // sample index where its code begins, counted from the first sample written; to within two symbols
	Signal     int   // number of its signal, from 1
	PitchHz    float64
	Rune       rune
	Confidence float64 // that all its bits are right
}

// State tells that a signal was found or lost.
type State struct {
	At        int64 // sample index
	Signal    int   // its number, from 1
	Receiving bool
	PitchHz   float64
	SNR       float64 // dB in 2500 Hz, if it is received
	// Evidence is that of all that was received for the number of phases, and Inverted that four are sent on the other sideband, as
	// it seems, when a signal is lost: a log-likelihood ratio to noise that is as strong.
	Evidence float64
	Inverted bool
}

// Decoder prints BPSK, or QPSK, in a stream of samples. It is one goroutine's at a time and starts none.
type Decoder struct {
	config   Config
	events   Events
	baseband *demod.Baseband
	wide     []complex64 // not dealt with yet
	kept     []complex64 // the last keptLength, oldest first
	block    int64       // number of the next one
	finder   *finder
	charset  *Charset
	channels []channel
	count    int // signals so far
	base     int64
	total    int64
}

// New makes a decoder; it fails if c is not valid.
func New(c Config, e Events) (*Decoder, error) {
	if c.Signals == 0 {
		c.Signals = 1
	}
	if c.OffHz == 0 {
		c.OffHz = usualOffHz
	}
	switch { // written so that NaN fails
	case !(c.SampleRate >= 6000 && c.SampleRate <= 192000):
		return nil, fmt.Errorf("phase telegraphy: sample rate of %g Hz is not between 6000 and 192000", c.SampleRate)
	case c.PitchHz != 0 && !(c.PitchHz >= LeastPitchHz && c.PitchHz <= MostPitchHz):
		return nil, fmt.Errorf("phase telegraphy: pitch of %g Hz is not between %g and %g", c.PitchHz, LeastPitchHz, MostPitchHz)
	case !(c.OffHz > 0):
		return nil, fmt.Errorf("phase telegraphy: a pitch cannot be off by %g Hz", c.OffHz)
	case !(c.Signals >= 1 && c.Signals <= MaxSignals):
		return nil, fmt.Errorf("phase telegraphy: %d signals are not 1 to %d", c.Signals, MaxSignals)
	case c.Signals > 1 && c.PitchHz != 0:
		return nil, errors.New("phase telegraphy: a pitch is that of one signal; leave it away for several")
	}
	charset, err := FindCharset(c.Charset)
	if err != nil {
		return nil, err
	}
	b, err := demod.NewBaseband(demod.BasebandConfig{
		SampleRate: c.SampleRate, OutputRate: wideRate, CentreHz: wideCentreHz, PassHz: widePassHz,
	})
	if err != nil {
		return nil, err
	}
	return &Decoder{
		config: c, events: e, baseband: b, wide: make([]complex64, 0, 4096), kept: make([]complex64, keptLength),
		finder: newFinder(c.QPSK), charset: charset, channels: make([]channel, max(c.Signals, trials)),
	}, nil
}

// Write takes samples in [-1, 1]; others count as those next to them, NaN and infinities as silence.
func (d *Decoder) Write(samples []float32) {
	for len(samples) > 0 {
		n := min(len(samples), 4096) // bounds what is pending
		d.wide = d.baseband.Append(d.wide, samples[:n])
		d.total += int64(n)
		samples = samples[n:]
		d.take()
	}
}

// Flush decides what is pending, and makes the decoder as new but for the count of samples.
func (d *Decoder) Flush() {
	d.wide = d.baseband.Flush(d.wide)
	d.take()
	rest := (blockLength-len(d.wide))%blockLength + flushBlocks*blockLength
	for range rest {
		d.wide = append(d.wide, 0)
	}
	d.take()
	for i := range d.channels {
		d.drop(&d.channels[i])
	}
	d.baseband.Reset()
	clear(d.kept)
	d.finder.humps.Reset()
	d.block, d.base = 0, d.total
}

func (d *Decoder) take() {
	done := 0
	for ; len(d.wide)-done >= blockLength; done += blockLength {
		z := d.wide[done : done+blockLength]
		copy(d.kept, d.kept[blockLength:])
		copy(d.kept[keptLength-blockLength:], z)
		d.block++
		if d.block*blockLength%narrow.Hop == 0 {
			d.finder.humps.Add(d.kept[keptLength-narrow.Hop:])
		}
		for i := range d.channels {
			if c := &d.channels[i]; c.used {
				d.hear(c, z)
				d.move(c)
			}
		}
		if d.block%searchBlocks == 0 {
			d.search()
		}
	}
	d.wide = d.wide[:copy(d.wide, d.wide[done:])]
}

// search starts a channel for each signal that was found and has none; the channel hears what was kept first.
func (d *Decoder) search() {
	locked := 0
	for i := range d.channels {
		if d.channels[i].locked {
			locked++
		}
	}
	if locked >= d.config.Signals {
		return
	}
	low, high := LeastPitchHz, MostPitchHz
	if p := d.config.PitchHz; p != 0 {
		low, high = max(low, p-d.config.OffHz), min(high, p+d.config.OffHz)
	}
	var found []float64
	if d.config.OffHz <= closeHz && d.config.PitchHz != 0 {
		found = d.finder.near(d.kept, d.config.PitchHz-wideCentreHz)
	} else {
		found = d.finder.find(d.kept, low-wideCentreHz, high-wideCentreHz)
	}
	for _, hz := range found {
		c := d.free(hz)
		if c == nil {
			continue
		}
		d.begin(c, hz, false)
		d.move(c)
	}
}

// begin starts a channel, which hears what was kept; its pitch was moved already or not yet.
func (d *Decoder) begin(c *channel, hz float64, moved bool) {
	c.start(hz, d.block*blockLength-keptLength, d.config.QPSK, d.charset)
	c.moved = moved
	for z := d.kept; len(z) > 0 && c.used && c.off == 0; z = z[blockLength:] {
		d.hear(c, z[:blockLength])
	}
}

// move has a channel begin once more whose pitch turns out to be off.
func (d *Decoder) move(c *channel) {
	if c.off != 0 {
		d.begin(c, c.hz+c.off, true)
	}
}

// free is a channel for a signal, nil if there is none, or one near it already.
func (d *Decoder) free(hz float64) *channel {
	var free *channel
	for i := range d.channels {
		c := &d.channels[i]
		if c.used && c.hz-hz < nearHz && hz-c.hz < nearHz {
			return nil
		}
		if !c.used && free == nil {
			free = c
		}
	}
	return free
}

// closeHz is how far an ordered pitch may be off that is as good as found. The hump of the signal may be lost beside that of another.
const closeHz = 16.0

// nearHz is within what is the same signal: those 40 Hz apart are two.
const nearHz = 20.0

func (d *Decoder) hear(c *channel, z []complex64) {
	c.write(z)
	switch {
	case c.off != 0:
		return
	case c.refused != 0:
		if c.symbols-c.refused > refusedSymbols {
			d.drop(c)
		}
		return
	case c.settled() && c.number == 0 && c.four && !c.coded():
		c.refused = c.symbols
		return
	case c.settled() && c.number == 0:
		for i := range d.channels { // another trial may have come to the same signal, and one signal may be wanted
			o := &d.channels[i]
			same := o.hz-c.hz < nearHz && c.hz-o.hz < nearHz
			if o != c && o.used && (d.config.Signals == 1 || same) {
				if o.number != 0 {
					d.drop(c)
					return
				}
				d.drop(o)
			}
		}
		d.count++
		c.number = d.count
		d.tell(c, true)
	case c.lost():
		d.drop(c)
		return
	}
	if c.number != 0 {
		d.print(c)
	}
}

// print tells the characters that are ready.
func (d *Decoder) print(c *channel) {
	for h, ok := c.next(); ok; h, ok = c.next() {
		if d.events.Char != nil {
			d.events.Char(Char{d.at(h.at), c.number, h.hz + wideCentreHz, h.char, h.confidence})
		}
	}
}

func (d *Decoder) drop(c *channel) {
	if c.number != 0 {
		c.hear(c.joiner.rest(c.joiner.out[:0]))
		d.print(c)
		d.tell(c, false)
	}
	*c = channel{}
}

func (d *Decoder) tell(c *channel, receiving bool) {
	if d.events.State != nil {
		evidence, inverted := c.proof()
		d.events.State(State{d.at(c.n), c.number, receiving, c.hz + wideCentreHz, c.snr(), evidence, inverted})
	}
}

// at is the sample index of a wide sample.
func (d *Decoder) at(wide int64) int64 {
	return d.base + min(max(int64(float64(wide)*d.config.SampleRate/wideRate), 0), d.total-d.base)
}
