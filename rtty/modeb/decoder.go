package modeb

import (
	"math"

	"ionoscribe/demod/fsk"
)

// Events are called from inside Write and Flush, in order; nil is "not wanted"; a hook must not call the decoder.
type Events struct {
	Char  func(Char)
	State func(State) // a signal is found or lost, or its tuning or strength has changed
}

// Char is a character, printing or not.
type Char struct {
	At         int64 // sample index where its first sending begins, counted from the first sample written
	Code       Code
	Figures    bool // the figures shift is in force
	Rune       rune // that is printed: a new line is one '\n'; 0: nothing, as of shifts and service signals
	First      bool // it is the first one of a transmission
	Confidence float64
	Soft       *Soft // what is known of it; it must not be kept
}

// State tells what the decoder is doing.
type State struct {
	At        int64 // sample index
	Receiving bool  // a signal is received; the rest is about it
	CentreHz  float64
	ShiftHz   float64
	Inverted  bool    // B is the lower tone in the audio
	SNR       float64 // dB in 2500 Hz
	ModeA     bool    // of [Decoder.ModeA]
}

// Settings are those of what is received.
func (s State) Settings() Settings { return Settings{s.ShiftHz, s.Inverted, s.ModeA} }

// Decoder prints mode B in a stream of samples. It is one goroutine's at a time and starts none.
type Decoder struct {
	config Config
	events Events
	base   int64 // sample index of the first wide sample
	total  int64 // samples written

	front    *fsk.Front
	search   *search
	receiver receiver
	held     []held
	printer  printer

	receiving bool
	headed    bool    // its first character was found
	standing  float64 // evidence for the signal of late
	done      int64   // blocks the channel has heard
	free      int64   // first block that was not printed yet
	nextLook  int64   // block
	nextWeigh int64   // block
	snr       float64
	reported  State
}

// held is a character whose evidence is not enough yet.
type held struct {
	sending
	time  float64 // wide samples at which it begins
	proof float64
}

const (
	// eachCosts is taken off the evidence of each character: noise has less than 0 then, while signals at the limit have 4.
	eachCosts = 1.0
	// mostStanding is the evidence that is remembered: with less than zero of it a signal is given up. A fade of four seconds is
	// waited for.
	mostStanding = 30.0
	// enoughProof is the evidence from a character on that has it printed: of chance, one in exp(5) reaches it.
	enoughProof = 5.0
	mostHeld    = 64
	// leastProof is the evidence from which on a character that had to wait is printed all the same.
	leastProof  = -20.0
	weighBlocks = 93 // 10 s between looks at the strength
	flushBlocks = 24 // 2.5 s of silence until everything is decided
	// beforeBlocks are looked at before those in which a signal was found: 20 s, in which it may have been too weak to be.
	beforeBlocks = 188
	gapBlocks    = 38 // 4 s without tones end a signal
)

// New makes a decoder; it fails if c is not valid.
func New(c Config, e Events) (*Decoder, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	f, err := fsk.NewFront(c.SampleRate)
	if err != nil {
		return nil, err
	}
	d := &Decoder{config: c, events: e, front: f, search: newSearch(c), held: make([]held, 0, mostHeld)}
	d.reset()
	return d, nil
}

// reset makes everything but the count of samples new.
func (d *Decoder) reset() {
	d.base = d.total
	d.front.Reset()
	d.search.reset()
	d.receiving = false
	d.done, d.free, d.nextLook = 0, 0, 0
	d.reported = State{}
}

// Write takes samples in [-1, 1]; NaN and infinities count as silence. The block is neither kept nor changed.
func (d *Decoder) Write(block []float32) {
	const most = 4096 // keeps the work space small
	for len(block) > 0 {
		n := min(len(block), most)
		d.front.Write(block[:n])
		d.total += int64(n)
		block = block[n:]
		d.drain()
	}
}

// Flush delivers the characters that were heard up to now, then starts afresh. Sample indices go on.
func (d *Decoder) Flush() {
	if d.total > d.base {
		d.front.Flush()
		d.drain()
		if !d.receiving { // a last look, at what waits too
			d.look(true)
		}
		for range flushBlocks {
			for range fsk.BlockLength {
				d.front.WriteWide(0)
			}
			d.drain()
		}
		if d.receiving {
			d.lose()
		}
	}
	d.reset()
}

// Searched is for how many seconds in all, since New, pairs of tones were listened to, to find out whether they are a signal.
func (d *Decoder) Searched() float64 { return float64(d.search.listened) * fsk.BlockSeconds }

func (d *Decoder) drain() {
	for d.front.Take() {
		if d.receiving {
			d.receive()
		}
		if !d.receiving && d.front.Ready() >= d.nextLook {
			d.look(false)
		}
	}
}

// look searches for a signal.
func (d *Decoder) look(last bool) {
	d.nextLook = d.front.Ready() + searchBlocks
	first := max(d.front.First(), d.free)
	g, ok := d.search.look(d.front, first, last)
	if !ok {
		return
	}
	d.begin(g, first)
}

// begin receives a signal from its beginning, as far as that is still there and was not printed.
func (d *Decoder) begin(g found, first int64) {
	lower, upper := fsk.Peak{Hz: g.hz[1], Power: d.search.spectrum.Tone(g.hz[1])}, fsk.Peak{Hz: g.hz[0], Power: d.search.spectrum.Tone(g.hz[0])}
	from := max(first, min(g.from, max(g.from-beforeBlocks, d.search.spectrum.Onset(d.front, lower, upper, first, gapBlocks))))
	// The place of characters, at the grid's beginning.
	elements := float64(g.from-from) * fsk.BlockLength / fsk.WideRate * Baud
	at := (g.at + int64(math.Round(elements*fsk.PerElement))) % places
	g.from = from
	d.search.start(&d.receiver.channel, g)
	d.receiver.channel.Stay(int64((elements + float64(g.since)/fsk.PerElement) / Baud / fsk.BlockSeconds)) // in noise there is nothing to tune to
	d.receiver.begin(at, g.inverted)
	d.receiving, d.headed, d.standing = true, false, mostStanding
	d.done = from
	d.held = d.held[:0]
	d.printer.begin()
	d.reported = State{}
	d.search.spectrum.Measure(d.front, max(from, d.front.Ready()-spectrumBlocks), d.front.Ready())
	d.weigh()
	d.nextWeigh = d.front.Ready() + spectrumBlocks // when there is more of it
	d.receive()
}

// receive has the channel listen to all blocks that are ready.
func (d *Decoder) receive() {
	for ; d.receiving && d.done < d.front.Ready(); d.done++ {
		d.receiver.channel.Listen(d.front.Block(d.done))
		for d.receiving {
			s, ok := d.receiver.take(d.front)
			if !ok {
				break
			}
			d.hold(s)
		}
		if d.done >= d.front.Ready()-1 {
			d.report()
		}
	}
}

// hold takes a character, and passes on those that have the evidence of what followed: the last ones before a signal ceases, which
// noise makes, never get it, while those in a fade do when the signal comes back. Before the first one, nothing is held that is
// less likely than that the signal has not begun.
func (d *Decoder) hold(s sending) {
	if len(d.held) == mostHeld {
		d.print(1)
	}
	s.evidence -= eachCosts
	d.held = append(d.held, held{s, d.receiver.channel.Time(s.at), 0})
	clear := 0
	for i := range d.held {
		d.held[i].proof += s.evidence
		if d.held[i].proof > enoughProof {
			clear = i + 1
		}
	}
	if !d.headed && d.held[0].proof < 0 {
		d.held = d.held[:0]
	}
	d.print(min(clear, len(d.held)))
	if d.standing = min(d.standing+s.evidence, mostStanding); d.standing < 0 {
		d.lose()
	}
}

// print prints the first of the characters that are held.
func (d *Decoder) print(n int) {
	for i := range d.held[:n] {
		d.headed = true
		h := &d.held[i]
		d.free = max(d.free, int64(h.time/fsk.BlockLength))
		if h.proof < leastProof || d.events.Char == nil {
			continue
		}
		if !d.reported.Receiving { // a signal before its text
			d.report()
		}
		c := d.printer.print(&h.sending)
		c.At = d.index(h.time)
		d.events.Char(c)
	}
	d.held = d.held[:copy(d.held, d.held[n:])]
}

// index turns wide samples into a sample index.
func (d *Decoder) index(wide float64) int64 {
	return d.base + int64(math.Round(wide*d.config.SampleRate/fsk.WideRate))
}

// now is the sample index up to which the channel has listened.
func (d *Decoder) now() int64 { return min(d.index(float64(d.done*fsk.BlockLength)), d.total) }

func (d *Decoder) lose() {
	d.receiving = false
	d.nextLook = d.front.Ready() + 1
	d.search.failed = [remembered]failed{}
	d.tell(State{At: d.now()})
}

// Changes that are reported.
const (
	reportHz = 3.0
	reportDB = 2.0
)

// report tells the state if it has changed.
func (d *Decoder) report() {
	if !d.receiving || d.events.State == nil {
		return
	}
	if d.standing > mostStanding/2 && d.front.Ready() >= d.nextWeigh {
		d.search.spectrum.Measure(d.front, max(d.front.First(), d.front.Ready()-spectrumBlocks), d.front.Ready())
		d.weigh()
	}
	hz := d.receiver.channel.Hz()
	s := State{At: d.now(), Receiving: true, CentreHz: (hz[0] + hz[1]) / 2, ShiftHz: math.Abs(hz[1] - hz[0]), Inverted: d.receiver.inverted, SNR: d.snr}
	t := &d.reported
	if t.Receiving && t.Inverted == s.Inverted && math.Abs(t.CentreHz-s.CentreHz) < reportHz && math.Abs(t.ShiftHz-s.ShiftHz) < reportHz &&
		math.Abs(t.SNR-s.SNR) < reportDB {
		return
	}
	d.tell(s)
}

// weigh takes the strength of the signal from the spectrum as it was measured last.
func (d *Decoder) weigh() {
	hz := d.receiver.channel.Hz()
	beside := 1.5*Baud + fsk.LineHz
	d.snr = d.search.spectrum.SNR(min(hz[0], hz[1])-beside, max(hz[0], hz[1])+beside)
	d.nextWeigh = d.front.Ready() + weighBlocks
}

func (d *Decoder) tell(s State) {
	d.reported = s
	if d.events.State != nil {
		d.events.State(s)
	}
}
