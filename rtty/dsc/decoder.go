package dsc

import (
	"math"
	"slices"

	"ionoscribe/demod/fsk"
)

// Events are called from inside Write and Flush, in order; nil is "not wanted"; a hook must not call the decoder.
type Events struct {
	Call  func(Reception)
	State func(State) // phasing signals were heard, or the call behind them has ended
}

// Reception is a call as it was heard.
type Reception struct {
	At   int64 // sample index where its phasing signals begin, counted from the first sample written
	Call Call
	// OK says that the call passes all checks: its check symbol fits, it is one of the standard's, and it is right with a
	// probability of leastSure. What does not pass is not to be relied on.
	OK bool
	// Sure is the probability that all symbols are right, and Confidence that of each one.
	Sure       float64
	Confidence []float64
	State      State
}

// State tells what the decoder is doing.
type State struct {
	At        int64 // sample index
	Receiving bool  // a call is received; the rest is about it
	CentreHz  float64
	Settings  Settings
	SNR       float64 // dB in 2500 Hz
}

const (
	// leastSure makes a call one that passes. Of those that do, the mean probability of being wrong is far below its rest: calls
	// between 0.9999 and 0.99999 are a few in a hundred where it is hardest, at -7 dB, so of 100 000 about one is wrong there.
	leastSure = 0.9999
	nearHz    = 30.0 // within which an ear hears a pair
	mostEars  = 4    // pairs of tones that are listened to at a time
	// backBlocks are 12 s that an ear listens to at most from before it is opened.
	backBlocks = 112
	// A pair's tones are followed from stayBlocks behind the first of them on; in noise there is nothing to follow.
	leadBlocks, stayBlocks = 4, 8
	gapBlocks              = 10 // 1 s without tones before is where a pair began
	turnBlocks             = 56 // 6 s until another pair may have its turn
	flushBlocks            = 24 // 2.5 s of silence until everything is decided
)

// Decoder receives calls in a stream of samples, several at a time. It is one goroutine's at a time and starts none.
type Decoder struct {
	config Config
	events Events
	base   int64 // sample index of the first wide sample
	total  int64 // samples written

	front    *fsk.Front
	finder   *finder
	ears     [mostEars]ear
	decider  decider
	likely   []*likelihood
	format   likelihood
	last     likelihood
	symbols  []Symbol
	sure     []float64
	nextLook int64              // block
	listened int64              // blocks, of all ears
	told     [2 * mostEars]told // the latest calls
	calls    int                // told in all
	tell     func(*ear)
}

// reachHz is how far from a pair's centre another one may be heard in its stead, by one of its tones.
const reachHz = UsualShiftHz + sameHz

// told is a call that was told.
type told struct {
	time float64 // wide samples at which it began
	hz   float64
}

// New makes a decoder; it fails if c is not valid.
func New(c Config, e Events) (*Decoder, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	f, err := fsk.NewFront(c.SampleRate)
	if err != nil {
		return nil, err
	}
	d := &Decoder{
		config: c, events: e, front: f, finder: newFinder(c),
		likely: make([]*likelihood, 0, mostInfo), symbols: make([]Symbol, mostInfo), sure: make([]float64, 0, mostInfo),
	}
	d.tell = d.ended
	d.reset()
	return d, nil
}

// reset makes everything but the count of samples new.
func (d *Decoder) reset() {
	d.base = d.total
	d.front.Reset()
	d.finder.spectrum.Forget()
	for i := range d.ears {
		d.ears[i].open = false
	}
	d.nextLook = spectrumBlocks
	d.told = [2 * mostEars]told{}
	for i := range d.told {
		d.told[i].time = math.Inf(-1)
	}
	if d.config.VHF { // whose tones are known
		d.ears[0].begin(true, pair{centreHz: VHFCentreHz}, 0, math.MaxInt64/2)
	}
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

// Flush delivers the calls that were heard up to now, then starts afresh. Sample indices go on.
func (d *Decoder) Flush() {
	if d.total > d.base {
		d.front.Flush()
		for range flushBlocks {
			for range fsk.BlockLength {
				d.front.WriteWide(0)
			}
			d.drain()
		}
		for i := range d.ears {
			if e := &d.ears[i]; e.open && e.call.active {
				e.end(d.tell)
			}
		}
	}
	d.reset()
}

// Listened is for how many seconds in all, since New, pairs of tones were listened to.
func (d *Decoder) Listened() float64 { return float64(d.listened) * fsk.BlockSeconds }

func (d *Decoder) drain() {
	for d.front.Take() {
		if !d.config.VHF && d.front.Ready() >= d.nextLook {
			d.look()
		}
		for i := range d.ears {
			for e := &d.ears[i]; e.open && e.done < d.front.Ready(); {
				active := e.call.active
				e.listen(d.front, d.tell)
				d.listened++
				if e.call.active && !active && d.claim(e) {
					d.state(State{At: d.index(e.call.time), Receiving: true, CentreHz: e.hz(), Settings: e.settings(d.config.VHF), SNR: d.snr(e)})
				}
			}
		}
	}
}

// look opens ears for pairs of tones that are new, and closes those whose tones have ceased.
func (d *Decoder) look() {
	ready := d.front.Ready()
	d.nextLook = ready + lookBlocks
	for _, p := range d.finder.find(d.front) {
		if e := d.near(&p); e != nil {
			e.seen = ready
			continue
		}
		e := d.free()
		if e == nil {
			break
		}
		half := UsualShiftHz / 2
		lower, upper := fsk.Peak{Hz: p.centreHz - half, Power: p.tone[1]}, fsk.Peak{Hz: p.centreHz + half, Power: p.tone[0]}
		first := max(d.front.First(), ready-backBlocks)
		from := max(first, d.finder.spectrum.Onset(d.front, lower, upper, first, gapBlocks)-leadBlocks)
		e.begin(false, p, from, stayBlocks)
		e.seen = ready
	}
	for i := range d.ears {
		if e := &d.ears[i]; !e.call.active && e.seen < ready {
			e.open = false // the spectrum has a second's memory of a tone that faded
		}
	}
}

// near is the ear that listens to a pair, or that hears a call nearby whose tones are stronger, or nil.
func (d *Decoder) near(p *pair) *ear {
	const half = UsualShiftHz / 2
	for i := range d.ears {
		e := &d.ears[i]
		if !e.open {
			continue
		}
		if math.Abs(e.centreHz-p.centreHz) < nearHz {
			return e
		}
		if e.call.active && math.Abs(e.hz()-p.centreHz) < reachHz {
			heard := pair{tone: [2]float64{d.finder.spectrum.Tone(e.hz() + half), d.finder.spectrum.Tone(e.hz() - half)}}
			if heard.rank() > p.rank() {
				return e
			}
		}
	}
	return nil
}

// free is an ear that can be opened: one that is closed, or else the one that has listened longest without a call; nil if each has
// something to hear or has only begun.
func (d *Decoder) free() (longest *ear) {
	for i := range d.ears {
		e := &d.ears[i]
		switch {
		case !e.open:
			return e
		case e.call.active || e.done-e.from < turnBlocks:
		case longest == nil || e.from < longest.from:
			longest = e
		}
	}
	return longest
}

// claim has one ear alone hear a call, that with the best phasing signals: ears that are a shift apart share a tone. It says whether
// it is this one.
func (d *Decoder) claim(e *ear) bool {
	const sameSeconds = 0.05
	same := func(time, hz, reachHz float64) bool {
		return math.Abs(time-e.call.time) < sameSeconds*fsk.WideRate && math.Abs(hz-e.hz()) < reachHz
	}
	for _, t := range d.told {
		if same(t.time, t.hz, 2*reachHz) { // it may have been heard on the other side
			e.call.active = false
			return false
		}
	}
	for i := range d.ears {
		other := &d.ears[i]
		if other == e || !other.open || !other.call.active || !same(other.call.time, other.hz(), reachHz) {
			continue
		}
		if other.call.sync.fill >= e.call.sync.fill {
			e.call.active = false
			return false
		}
		other.call.active = false
	}
	for i := range d.ears { // those beside would hear one of its tones
		if other := &d.ears[i]; other != e && other.open && math.Abs(other.hz()-e.hz()) < reachHz {
			other.open = false
		}
	}
	return true
}

// ended tells the call of an ear.
func (d *Decoder) ended(e *ear) {
	c := &e.call
	d.told[d.calls%len(d.told)] = told{c.time, e.hz()}
	d.calls++
	s := State{At: d.index(c.time), Receiving: true, CentreHz: e.hz(), Settings: e.settings(d.config.VHF), SNR: d.snr(e)}
	r := Reception{At: s.At, State: s}
	if c.ends.evidence > leastEnd {
		d.likely = c.likelihoods(d.likely[:0], &d.format, &d.last)
		d.sure = d.sure[:0]
		for _, l := range d.likely {
			d.sure = append(d.sure, math.Exp(l.evidence(l.best()))/symbols)
		}
		n := len(d.likely) - 2
		all, sure := d.decider.decide(d.symbols, d.likely)
		seems := Call{Symbols: slices.Clone(all[:n]), End: all[n]}
		r.Call, r.Sure, r.Confidence = seems, sure, slices.Clone(d.sure[:n])
		restrict(d.likely[:n], seems.Symbols)
		all, sure = d.decider.decide(d.symbols, d.likely)
		is := Call{Symbols: slices.Clone(all[:n]), End: all[n]}
		if _, err := is.Fields(); err == nil && sure >= leastSure {
			r.Call, r.Sure, r.OK = is, sure, true
		}
	}
	if d.events.Call != nil {
		d.events.Call(r)
	}
	d.state(State{At: d.now()})
}

func (d *Decoder) state(s State) {
	if d.events.State != nil {
		d.events.State(s)
	}
}

// snr is the strength of the call that an ear hears.
func (d *Decoder) snr(e *ear) float64 {
	ready := d.front.Ready()
	d.finder.spectrum.Measure(d.front, max(d.front.First(), min(int64(e.call.time/fsk.BlockLength), ready-1)), ready)
	half := e.settings(d.config.VHF).ShiftHz()/2 + e.channel.Baud()
	return d.finder.spectrum.SNR(e.hz()-half, e.hz()+half)
}

func (e *ear) hz() float64 {
	hz := e.channel.Hz()
	return (hz[0] + hz[1]) / 2
}

func (e *ear) settings(vhf bool) Settings { return Settings{VHF: vhf, Inverted: e.call.sync.inverted} }

// index turns wide samples into a sample index.
func (d *Decoder) index(wide float64) int64 {
	return d.base + int64(math.Round(wide*d.config.SampleRate/fsk.WideRate))
}

// now is the sample index up to which the decoder has heard.
func (d *Decoder) now() int64 { return min(d.index(float64(d.front.Ready()*fsk.BlockLength)), d.total) }
