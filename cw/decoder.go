package cw

import "ionoscribe/demod"

// Events are called from inside Write and Flush, those of one signal in order of At; nil is "not wanted"; a hook must
// not call the decoder.
type Events struct {
	Char  func(Char)
	State func(State) // a signal is found or lost, or what is known of it has changed
}

// Char is a symbol that was received. A gap between words is one too.
type Char struct {
	Symbol
	Signal     int     // number of the signal, from 1
	At, End    int64   // sample indices at which its first mark begins and its last one ends
	Confidence float64 // of those marked 0.9, nine in ten are right
	PitchHz    float64
	WPM        float64
}

// State is what is known of a signal.
type State struct {
	Signal    int
	At        int64 // sample index
	Receiving bool  // false: it is lost
	PitchHz   float64
	WPM       float64
	SNR       float64 // dB in 2500 Hz, key down
	Weighting float64 // length of a dot in that of a dot and the gap after it
	DashRatio float64 // dash over dot
}

// Decoder copies Morse signals from a stream of samples. It is one goroutine's at a time and starts none.
type Decoder struct {
	config  Config
	events  Events
	front   *demod.Baseband
	base    int64 // sample index of the front end's first sample
	total   int64 // samples written
	pending []complex64
	band    *band
}

// The middle of the band and its edges.
const (
	centreHz = (LowestHz + HighestHz) / 2
	passHz   = (HighestHz - LowestHz) / 2

	// The image of a signal as strong as a 16-bit recording holds is no signal: 6.02 dB a bit less leastPeak and margin.
	aliasDB = 90
)

// New makes a decoder; it fails if c is not valid.
func New(c Config, e Events) (*Decoder, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	front, err := demod.NewBaseband(demod.BasebandConfig{
		SampleRate: c.SampleRate, OutputRate: bandRate, CentreHz: centreHz, PassHz: passHz, AttenuationDB: aliasDB,
	})
	if err != nil {
		return nil, err
	}
	d := &Decoder{config: c, events: e, front: front}
	d.band = newBand(c, d)
	return d, nil
}

// Write takes samples in [-1, 1]; NaN and infinities count as silence. The block is neither kept nor changed.
func (d *Decoder) Write(block []float32) {
	const most = 4096 // keeps the work space small
	for len(block) > 0 {
		n := min(len(block), most)
		d.pending = d.front.Append(d.pending, block[:n])
		d.total += int64(n)
		block = block[n:]
		d.process()
	}
}

// process handles whole hops, so that what comes out does not depend on how the samples were cut into blocks.
func (d *Decoder) process() {
	z := d.pending
	for len(z) >= hop {
		d.band.add(z[:hop])
		z = z[hop:]
	}
	d.pending = d.pending[:copy(d.pending, z)]
}

// Flush delivers what is pending, then starts afresh. Sample indices go on.
func (d *Decoder) Flush() {
	d.pending = d.front.Flush(d.pending)
	d.process()
	for len(d.pending) < hop {
		d.pending = append(d.pending, 0)
	}
	d.band.add(d.pending)
	d.pending = d.pending[:0]
	d.band.flush()
	d.base = d.total
	d.front.Reset()
}

// Searched is how many steps in all, since New, pitches and speeds were tried on, a microsecond or so each: the work of
// searching, by which whoever has many decoders may share it out.
func (d *Decoder) Searched() float64 { return d.band.spent }

// LimitSearch lets it search for so many steps in vain at most, and one try more, between one Flush and the next: for short
// recordings that are hardly Morse.
func (d *Decoder) LimitSearch(steps float64) {
	d.band.limit = steps
	d.band.credit = min(d.band.credit, steps)
}

// sample is the index in the audio of a time in band samples since the last Flush.
func (d *Decoder) sample(t float64) int64 {
	return d.base + min(max(0, int64(t*d.config.SampleRate/bandRate+0.5)), d.total-d.base)
}
