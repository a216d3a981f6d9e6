package rtty

import (
	"math"

	"ionoscribe/demod/fsk"
)

// Events are called from inside Write and Flush, in order; nil is "not wanted"; a hook must not call the decoder.
type Events struct {
	Char  func(Char)
	State func(State) // a signal is found or lost, or its tuning or strength has changed
}

// Char is a character that prints. A new line, however it was sent, is one '\n'; other controls are shown by
// pictures (see [Bell]).
type Char struct {
	At         int64   // sample index where its start element begins, counted from the first sample written
	Rune       rune    //
	Code       Code    //
	Shift      Shift   // in force
	AfterShift bool    // the code before was a shift
	First      bool    // it is the first one of a transmission; set by All, where no State tells
	Confidence float64 // of the characters marked 0.9, nine in ten are right
}

// State tells what the decoder is doing.
type State struct {
	At        int64 // sample index
	Receiving bool  // a signal is received; the rest is about it
	CentreHz  float64
	ShiftHz   float64
	Baud      float64
	Polarity  Polarity
	Alphabet  Alphabet
	SNR       float64 // dB in 2500 Hz, the mean of both tones
}

// Decoder prints the radioteletype in a stream of samples. It is one goroutine's at a time and starts none.
type Decoder struct {
	config Config
	events Events
	base   int64 // sample index of the first wide sample
	total  int64 // samples written

	front  *fsk.Front
	search *search
	line   *channel // of the signal that is received
	frames []frame
	text   speller
	rate   rate
	headed bool       // the first character was found
	held   []received // characters whose evidence is not enough yet
	missed [2]float64 // shifts that may be among those of them that were dropped: see received

	receiving    bool
	kind         kind
	standing     float64 // evidence for the signal of late
	done         int64   // blocks the channel has heard
	heard        int64   // block in which the last character was
	marked       int64   // block in which mark was last that is no part of one
	free         int64   // first block that was not printed yet
	nextLook     int64   // block
	found        int64   // block in which the signal was found
	checks       int     // of what was found
	lastReported State
	snr          float64
	nextWeigh    int64 // block
}

const (
	// mostStanding is the evidence that is remembered, leastStanding that with which a signal is given up.
	mostStanding  = 30.0
	leastStanding = 0.0
	// patienceBlocks without a character make a signal lost, if there was no mark either, and have others looked for.
	patienceBlocks = 38 // 4 s
	idleLook       = 19 // 2 s between looks while mark goes on
	mostHeld       = 24
	// leastProof is the evidence from which on a character that had to wait is printed all the same: one in a faint
	// signal, whose proof wanders about zero.
	leastProof  = -3.0
	weighBlocks = 93 // 10 s between looks at the strength
	spellBlocks = 11 // 1.2 s after which a character waits no longer for others
	doubtBlocks = 28 // 3 s, if its case is in doubt
)

// checkBlocks after a signal was found it is checked.
var checkBlocks = [...]int64{56, 112}

// New makes a decoder; it fails if c is not valid.
func New(c Config, e Events) (*Decoder, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	f, err := fsk.NewFront(c.SampleRate)
	if err != nil {
		return nil, err
	}
	d := &Decoder{config: c, events: e, front: f, search: newSearch(c), line: &channel{trellis: []*trellis{new(trellis)}}}
	d.text.begin(ITA2, false)
	d.line.trellis[0].begin(5, false, Baud45)
	d.frames = make([]frame, 0, 256)
	d.held = make([]received, 0, mostHeld)
	d.reset()
	return d, nil
}

// reset makes everything but the count of samples new.
func (d *Decoder) reset() {
	d.base = d.total
	d.front.Reset()
	d.search.reset()
	d.receiving = false
	d.search.forget()
	d.done, d.heard, d.marked, d.free, d.nextLook = 0, 0, 0, 0, 0
	d.lastReported = State{}
}

// Write takes samples in [-1, 1]; NaN and infinities count as silence. The block is neither kept nor changed.
func (d *Decoder) Write(block []float32) {
	const most = 4096 // keeps the work space small
	for len(block) > 0 {
		n := min(len(block), most)
		d.front.Write(block[:n])
		d.total += int64(n)
		block = block[n:]
		for d.front.Take() {
			d.step()
		}
	}
}

// Flush delivers the characters that were heard up to now, then starts afresh. Sample indices go on.
func (d *Decoder) Flush() {
	if d.total > d.base {
		f := d.front
		f.Flush()
		d.drain()
		if !d.receiving { // a last look, at pairs that wait too
			d.search.forget()
			d.search.last, d.search.credit = true, mostPairs
			d.nextLook = 0
			d.look()
			d.search.last = false
		}
		// Silence until everything is decided.
		for range flushBlocks {
			for range fsk.BlockLength {
				f.WriteWide(0)
			}
			d.drain()
		}
		if d.receiving {
			d.spell(true)
			d.lose()
		}
	}
	d.reset()
}

const flushBlocks = 24 // 2.5 s: the levels' half second and four characters at the slowest rate

func (d *Decoder) drain() {
	for d.front.Take() {
		d.step()
	}
}

// step is called after each block.
func (d *Decoder) step() {
	if d.receiving {
		d.receive()
	}
	d.look()
}

// look searches for a signal from time to time while none is received, and checks one that was found lately.
func (d *Decoder) look() {
	if d.front.Ready() < d.nextLook {
		return
	}
	d.nextLook = d.front.Ready() + searchBlocks
	first := max(d.front.First(), d.free)
	if d.receiving {
		switch {
		case d.front.Ready()-d.heard >= patienceBlocks: // mark goes on here; is there anything elsewhere?
			d.nextLook = d.front.Ready() + idleLook
		case d.checks < len(checkBlocks):
			// What was found first may have been the second best: one tone and a ripple, or a rate that is near.
			if d.front.Ready()-d.found < checkBlocks[d.checks] {
				return
			}
			d.checks++
			first = max(d.front.First(), d.front.Ready()-checkBlocks[0])
			d.search.forget()
		default:
			return
		}
	}
	d.search.present, d.search.presentKind = nil, d.kind
	if d.receiving {
		d.search.present = d.line
	}
	found, ok := d.search.look(d.front, first)
	if ok && (!d.receiving || found.differs(d.line, d.kind) && !found.pair.sideband(d.search.pairOf(d.line), min(found.baud, d.line.Baud()))) {
		d.begin(found)
	}
}

// Searched is for how many seconds in all, since New, pairs of tones were listened to at some rate, to find out whether they are
// a signal: the work of searching, by which whoever has many decoders may share it out.
func (d *Decoder) Searched() float64 { return float64(d.search.listened) * fsk.BlockSeconds }

// begin receives a signal from its beginning, as far as that is still there and was not printed.
func (d *Decoder) begin(f found) {
	first := f.from
	if d.receiving {
		d.spell(true)
		if f.shares(d.line, d.kind) {
			first = max(first, d.free) // what one of the tones gave was right: it is not printed twice
		}
	}
	from := min(first, d.search.spectrum.Onset(d.front, f.pair.lower, f.pair.upper, max(d.front.First(), d.free), patienceBlocks))
	d.start(f, from, first)
	if !d.receiving && d.done < first { // what was there before was something else
		d.start(f, first, first)
	}
}

// start receives a signal from a block on, that was found in the blocks from first on.
func (d *Decoder) start(f found, from, first int64) {
	tried := float64(f.to - f.from)
	hz := [2]float64{f.hz[0] - f.drift*tried, f.hz[1] - f.drift*tried}
	d.kind = f.kind
	d.search.start(d.line, f.pair, f.baud, hz, []kind{f.kind}, from)
	d.line.Stay(first - from)
	d.text.begin(f.kind.alphabet, d.config.UnshiftOnSpace)
	d.receiving, d.standing = true, leastLead
	d.done, d.heard, d.marked = from, d.front.Ready(), from
	d.found, d.checks = d.front.Ready(), 0
	d.held, d.missed = d.held[:0], [2]float64{}
	d.rate, d.headed = rate{}, false
	d.lastReported = State{}
	d.weigh()
	d.receive()
}

// receive has the channel listen to all blocks that are ready.
func (d *Decoder) receive() {
	for ; d.receiving && d.done < d.front.Ready(); d.done++ {
		d.line.listen(d.front.Block(d.done))
		d.print()
		if d.done >= d.front.Ready()-1 {
			d.report()
		}
	}
}

func (d *Decoder) print() {
	r := d.line.trellis[0]
	d.frames = r.decide(d.frames[:0], &d.line.Levels)
	l := &d.line.Levels
	m, s := r.tones(l)
	for _, f := range d.frames {
		if !d.headed && !r.present(l, f.start) {
			continue // it began before the signal did
		}
		d.headed = true
		c := received{at: d.line.Time(f.start), end: d.line.Time(f.end), trust: 1}
		g := f.start
		for i := range r.units {
			g += fsk.PerElement
			c.units[i] = float32(r.doubted(l, g, d.line.Excess(d.front, g)))
		}
		l.Fading(f.start, r.length)
		c.missed = d.line.missed(f, d.front)
		d.standing = min(d.standing+f.evidence, mostStanding)
		d.heard = int64(c.end/fsk.BlockLength) + 1
		d.rate.listen(m, s, f.start, r.units)
		if f.extra > r.typed {
			d.pause()
		}
		d.hold(c, f.evidence)
		d.spell(false)
	}
	d.spell(false)
	if r.idling() {
		d.marked = d.done
	}
	switch {
	case d.standing < leastStanding:
		d.spell(true)
		d.lose()
	case d.done-max(d.heard, d.marked) > patienceBlocks:
		d.spell(true)
		d.lose()
	}
}

// pause drops the characters that are held when idle mark has followed them: what comes after it is no proof of them.
func (d *Decoder) pause() {
	if len(d.held) > 0 {
		d.held = d.held[:0]
		d.missed = [2]float64{1, 1}
	}
}

// hold takes a character, and passes on those that have the evidence of what followed: the last ones before a signal
// ceases, which noise makes, never get it, while those in a fade do when the signal comes back.
func (d *Decoder) hold(c received, evidence float64) {
	d.held = append(d.held, c)
	clear := 0
	for i := range d.held {
		d.held[i].proof += evidence
		if d.held[i].proof > 0 {
			clear = i + 1
		}
	}
	if len(d.held) == mostHeld {
		clear = max(clear, 1)
	}
	for _, c := range d.held[:clear] {
		if c.proof < leastProof { // what followed for seconds was no text
			d.missed = [2]float64{1, 1}
			continue
		}
		for k := range c.missed {
			c.missed[k] += d.missed[k]
		}
		d.missed = [2]float64{}
		d.text.add(c)
		d.spell(false)
	}
	d.held = d.held[:copy(d.held, d.held[clear:])]
}

// spell prints the characters whose shift is clear, or all.
func (d *Decoder) spell(all bool) {
	for len(d.text.pending) > 0 && (all || d.text.ready() || d.waited()) {
		r, c := d.text.first()
		d.free = max(d.free, int64(r.end/fsk.BlockLength))
		if c.rune == 0 {
			continue
		}
		if !d.lastReported.Receiving { // a signal before its text
			d.report()
		}
		if d.events.Char != nil {
			d.events.Char(Char{At: d.index(r.at), Rune: c.rune, Code: c.code, Shift: c.shift, AfterShift: c.shifted, Confidence: min(c.confidence, 1-clearly)})
		}
	}
}

// waited says whether the first pending character has waited for others long enough.
func (d *Decoder) waited() bool {
	wait := float64(spellBlocks)
	if d.text.doubtful() {
		wait = doubtBlocks
	}
	return float64(d.done*fsk.BlockLength)-d.text.pending[0].end > wait*fsk.BlockLength
}

// index turns wide samples into a sample index.
func (d *Decoder) index(wide float64) int64 {
	return d.base + int64(math.Round(wide*d.config.SampleRate/fsk.WideRate))
}

func (d *Decoder) lose() {
	d.receiving = false
	d.search.forget()
	d.free = max(d.free, d.heard)
	d.nextLook = d.front.Ready() + 1
	d.tell(State{At: min(d.index(float64(d.done*fsk.BlockLength)), d.total)})
}

// Changes that are reported.
const (
	reportHz = 3.0
	reportDB = 3.0
)

// report tells the state if it has changed.
func (d *Decoder) report() {
	if !d.receiving || d.events.State == nil {
		return
	}
	hz := d.line.Hz()
	if d.front.Ready() >= d.nextWeigh {
		d.search.spectrum.Measure(d.front, max(d.front.First(), d.front.Ready()-spectrumBlocks), d.front.Ready())
		d.weigh()
	}
	s := State{
		At: min(d.index(float64(d.done*fsk.BlockLength)), d.total), Receiving: true, CentreHz: (hz[0] + hz[1]) / 2, ShiftHz: math.Abs(hz[1] - hz[0]),
		Baud: d.baud(), Polarity: MarkLower, Alphabet: d.kind.alphabet, SNR: d.snr,
	}
	if d.kind.inverted {
		s.Polarity = MarkHigher
	}
	t := &d.lastReported
	if t.Receiving && t.Polarity == s.Polarity && t.Baud == s.Baud && math.Abs(t.CentreHz-s.CentreHz) < reportHz &&
		math.Abs(t.ShiftHz-s.ShiftHz) < reportHz && math.Abs(t.SNR-s.SNR) < reportDB {
		return
	}
	d.tell(s)
}

// baud is the rate in use that is nearest to the signal's, if none is ordered.
func (d *Decoder) baud() float64 {
	share, known := d.rate.off()
	if !known || d.config.Baud != 0 {
		return d.line.Baud()
	}
	measured := d.line.Baud() * (1 + share)
	best := d.line.Baud()
	for _, b := range Bauds {
		if math.Abs(b-measured) < math.Abs(best-measured) {
			best = b
		}
	}
	return best
}

// weigh takes the strength of the signal from the spectrum as it was measured last: what the filters hold for noise
// has errors of keying in it.
func (d *Decoder) weigh() {
	hz := d.line.Hz()
	beside := 1.5*d.line.Baud() + fsk.LineHz
	d.snr = d.search.spectrum.SNR(min(hz[0], hz[1])-beside, max(hz[0], hz[1])+beside)
	d.nextWeigh = d.front.Ready() + weighBlocks
}

func (d *Decoder) tell(s State) {
	d.lastReported = s
	if d.events.State != nil {
		d.events.State(s)
	}
}
