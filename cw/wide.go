package cw

import (
	"fmt"
	"math"

	"ionoscribe/demod"
)

// WideConfig is complete with SampleRate alone.
type WideConfig struct {
	SampleRate float64 // Hz of the complex samples, 8000 to 384000; required
	WPM        float64 // as in Config
}

// Wide copies every Morse signal in a band of complex samples: it is a row of single-sideband receivers and of decoders
// that hear what they receive. Each receives some of what its neighbours do, so that no signal lies at an edge; one that
// two have heard is told of once. In Events, pitches are from the centre of the band, in Hz, negative below it, and
// sample indices are those of the complex samples. The events of one signal come in order of At.
type Wide struct {
	rate    float64
	events  Events
	parts   []*part
	signals []wideSignal // those heard lately
	number  int          // of the last signal
	pending []complex64  // not yet as many as are taken at a time
	audio   []float32
	total   int64 // samples written
	base    int64 // sample index since the last Flush
}

// part is what one of the receivers hears.
type part struct {
	wide      *Wide
	index     int
	slice     *demod.Slice
	decoder   *Decoder
	base      int64   // audio samples of the decoder before the last Flush
	dialHz    float64 // from the centre
	delivered int64   // audio samples since then
}

// wideSignal is a signal as a part hears it.
type wideSignal struct {
	part   int
	signal int // number in that part
	number int // 0: another part has told of it before
	hz     float64
	last   int64 // sample index at which it was heard
}

const (
	// partStepHz is from one dial to the next at most: as 3300 Hz are heard, each signal is 150 Hz inside a part or more, as
	// far as its sidebands reach at 60 words a minute.
	partStepHz = HighestHz - LowestHz - 300
	edgeHz     = demod.SliceLowHz // that a receiver needs below half the sample rate
	wideBlock  = 4096
	sameHz     = 10.0 // between what two parts make of the pitch of one signal; nearer ones cannot be told apart
	// forgetSeconds after its last character a signal of a part is over: longer than the part itself keeps it.
	forgetSeconds = 2 * keepSeconds
)

// NewWide makes a decoder of a band; it fails if c is not valid.
func NewWide(c WideConfig, e Events) (*Wide, error) {
	if !(c.SampleRate >= 8000 && c.SampleRate <= 384000) { // so that NaN fails
		return nil, fmt.Errorf("cw: sample rate of %g Hz of complex samples is not between 8000 and 384000", c.SampleRate)
	}
	w := &Wide{rate: c.SampleRate, events: e, pending: make([]complex64, 0, wideBlock)}
	first, span := -c.SampleRate/2, c.SampleRate-HighestHz-edgeHz
	steps := math.Ceil(span / partStepHz)
	for i := range int(steps) + 1 {
		dial := first + float64(i)*span/steps
		s, err := demod.NewSlice(demod.SliceConfig{SampleRate: c.SampleRate, DialHz: dial})
		if err != nil {
			return nil, err
		}
		p := &part{wide: w, index: len(w.parts), slice: s, dialHz: dial}
		p.decoder, err = New(Config{SampleRate: s.Rate(), WPM: c.WPM, Signals: MaxSignals}, Events{Char: p.char, State: p.state})
		if err != nil {
			return nil, err
		}
		w.parts = append(w.parts, p)
	}
	return w, nil
}

// Write takes complex samples; NaN and infinities count as silence. The block is neither kept nor changed.
func (w *Wide) Write(block []complex64) {
	for len(block) > 0 {
		n := min(len(block), wideBlock-len(w.pending))
		w.pending = append(w.pending, block[:n]...)
		block = block[n:]
		if len(w.pending) == wideBlock { // always as many, so that the order of events does not depend on the blocks
			w.take()
		}
	}
}

func (w *Wide) take() {
	w.total += int64(len(w.pending))
	for _, p := range w.parts {
		w.audio = p.slice.Append(w.audio[:0], w.pending)
		p.write(w.audio)
	}
	w.pending = w.pending[:0]
}

// Flush delivers what is pending, then starts afresh. Sample indices go on.
func (w *Wide) Flush() {
	w.take()
	for _, p := range w.parts {
		w.audio = p.slice.Flush(w.audio[:0])
		p.write(w.audio)
		p.decoder.Flush()
		p.base, p.delivered = p.base+p.delivered, 0
	}
	w.signals, w.base = w.signals[:0], w.total
}

func (p *part) write(audio []float32) {
	p.delivered += int64(len(audio))
	p.decoder.Write(audio)
}

func (p *part) char(c Char) {
	c.PitchHz += p.dialHz
	c.At, c.End = p.sample(c.At), p.sample(c.End)
	if c.Signal = p.known(c.Signal, c.PitchHz, c.At); c.Signal != 0 && p.wide.events.Char != nil {
		p.wide.events.Char(c)
	}
}

func (p *part) state(s State) {
	s.PitchHz += p.dialHz
	s.At = p.sample(s.At)
	if s.Signal = p.known(s.Signal, s.PitchHz, s.At); s.Signal != 0 && p.wide.events.State != nil {
		p.wide.events.State(s)
	}
}

// sample is the index among the complex samples of one of the decoder's.
func (p *part) sample(at int64) int64 {
	return p.wide.base + min(int64(math.Round(float64(at-p.base)*p.wide.rate/p.slice.Rate())), p.wide.total-p.wide.base)
}

// known is the number of a part's signal over all; 0 if a neighbour has told of it before.
func (p *part) known(signal int, hz float64, at int64) int {
	w := p.wide
	for i := range w.signals {
		if s := &w.signals[i]; s.part == p.index && s.signal == signal {
			s.hz, s.last = hz, max(s.last, at)
			return s.number
		}
	}
	kept, told := w.signals[:0], false
	for _, s := range w.signals {
		if float64(at-s.last) > forgetSeconds*w.rate {
			continue
		}
		kept = append(kept, s)
		if s.number != 0 && s.part != p.index && math.Abs(s.hz-hz) < sameHz {
			told = true
		}
	}
	number := 0
	if !told {
		w.number++
		number = w.number
	}
	w.signals = append(kept, wideSignal{p.index, signal, number, hz, at})
	return number
}
