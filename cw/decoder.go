package cw

import (
	"ionoscribe/demod"
)

// Events are hooks, called from inside Write and Flush, those of one signal in order of At. One that is nil is not called. A
// hook must not call the decoder.
type Events struct {
	Char  func(Char)
	State func(State) // a signal is found or lost, or what is known of it has changed
}

// Char is a symbol that was received. A gap between words is one too.
type Char struct {
	Symbol
	Signal     int     // number of the signal, from 1
	At, End    int64   // sample indices at which its first mark begins and its last one ends
	Confidence float64 // 0 to 1: of those marked 0.9, nine in ten are right
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
	front   *demod.Baseband
	clock   clock
	pending []complex64 // less than a hop
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
	d := &Decoder{front: front, clock: clock{rate: c.SampleRate}}
	d.band = newBand(newCommon(c, e, &d.clock))
	return d, nil
}

// Write takes samples in [-1, 1]; NaN and infinities count as silence. The block is neither kept nor changed.
func (d *Decoder) Write(block []float32) {
	const most = 4096 // keeps the work space small
	for len(block) > 0 {
		n := min(len(block), most)
		d.pending = d.front.Append(d.pending, block[:n])
		d.clock.total += int64(n)
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
	d.clock.base = d.clock.total
	d.front.Reset()
}

// Searched is the work spent on searching for pitches and speeds since New, in steps of about a microsecond. A program with
// many decoders may divide its time by it.
func (d *Decoder) Searched() float64 { return d.band.budget.spent }

// LimitSearch limits the steps of searching in vain between one Flush and the next, but for one more try: for short
// recordings that are hardly Morse.
func (d *Decoder) LimitSearch(steps float64) {
	b := &d.band.budget
	b.limit, b.credit = steps, min(b.credit, steps)
}
