package fax

import (
	"ionoscribe/demod"
	"ionoscribe/fax/draw"
)

// Events are called from inside Write and Flush, in order; nil is "not wanted"; a hook must not call the
// decoder.
type Events struct {
	Chart func(*Chart) // a chart is complete
	// Undrawn gets a chart that is complete, to be drawn whenever and wherever there is time, and in place of Chart.
	Undrawn func(*Undrawn)
	State   func(State) // a chart begins, or its line rate is known
}

// State tells what the decoder is doing.
type State struct {
	At        int64 // sample index
	Receiving bool  // a chart is being received
	IOC       int
	LPM       float64 // zero while unknown
	Began     Began
}

// Decoder finds the charts in a stream of samples. It is one goroutine's at a time and starts none.
type Decoder struct {
	config Config
	events Events
	front  *demod.Baseband
	base   int64 // sample index of the front end's first sample
	total  int64 // samples written

	pending []complex64 // baseband that does not yet fill a hop
	video   *Video
	guard   *guard
	tones   toneSearch
	coarse  *coarse
	window  []cell // work space
	rate    [1]float64

	chart    *coming // being received, or nil
	inTone   float64 // a control tone that still sounds, Hz
	heard    int64   // video index until which the chart's signal was last heard
	agreed   int64   // video index until which its lines agreed
	lost     int64   // video index where it was lost, or 0
	nextLook int64   // video index of the next look at line agreement
	ended    int64   // video index where the last chart or tone ended
	sender   *draw.Sender
}

// coming is a chart that is being received.
type coming struct {
	draw.Heard
	closing bool // the stop tone was heard: From and To are final
}

// Bounds on what is kept.
const (
	// hop is the number of video samples that are processed at a time, so that the output does not depend on
	// how the samples are cut into blocks: one hop of the tone search.
	hop = toneHop
	// keptSeconds of video are kept while no chart is received; a chart that is noticed late begins there.
	keptSeconds = 60
	// lookSeconds is the time between looks at line agreement, leastSeconds the video that a look needs.
	lookSeconds  = 2.5
	leastSeconds = 10
	// afterSeconds of what follows the stop tone are heard before the chart is drawn, of 10 s of black (WMO-No. 386 part
	// III-5, from memory).
	afterSeconds = 2
)

// Bounds for a signal. Line agreement of noise has a standard deviation of 0.011 over 20 s, and the greatest
// of four rates is looked for 1400 times an hour: 0.08 is beyond seven of them. The envelope of noise looks
// constant to a share of 0.15 in power by chance, that of speech to none.
const (
	beginAgreement = 0.09
	knownAgreement = 0.05 // after a start tone there are lines, and only their rate is in question
	keepAgreement  = 0.05
	leastEnvelope  = 0.2
	// A strong signal without lines for blankSeconds is an idle carrier and no blank paper, which has margins.
	strongEnvelope = 0.7 // 5 dB SNR
	blankSeconds   = 120
)

// New makes a decoder; it fails if c is not valid.
func New(c Config, e Events) (*Decoder, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	front, err := demod.NewBaseband(demod.BasebandConfig{
		SampleRate: c.SampleRate, OutputRate: VideoRate, CentreHz: CentreHz, PassHz: draw.PassHz, StopHz: draw.StopHz,
	})
	if err != nil {
		return nil, err
	}
	d := &Decoder{config: c, events: e, front: front, window: make([]cell, agreementCells)}
	d.tones.spectra = new(toneSpectra)
	d.reset()
	return d, nil
}

// reset makes everything but the count of samples new.
func (d *Decoder) reset() {
	d.base = d.total
	d.front.Reset()
	d.pending = d.pending[:0]
	d.video = new(Video)
	d.guard = newGuard()
	d.tones = toneSearch{spectra: d.tones.spectra}
	d.coarse = newCoarse()
	d.chart, d.inTone, d.heard, d.agreed, d.lost, d.nextLook = nil, 0, 0, 0, 0, 0
	d.ended = 0
	d.sender = draw.NewSender()
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

// Flush ends the chart that is being received and delivers it, then starts afresh. Sample indices go on.
func (d *Decoder) Flush() {
	d.pending = d.front.Flush(d.pending)
	d.process()
	d.take(d.pending)
	d.pending = d.pending[:0]
	if d.chart == nil {
		d.look(true)
	}
	switch {
	case d.chart == nil:
	case d.chart.closing:
		d.close()
	default:
		d.end(d.video.End(), EndedInput)
	}
	d.reset()
}

// Searched is how often in all, since New, something was looked at closely because it may be a control tone, a millisecond or so
// each: the work of searching, by which whoever has many decoders may share it out.
func (d *Decoder) Searched() int { return d.tones.spectra.asked }

// process handles whole hops.
func (d *Decoder) process() {
	z := d.pending
	for len(z) >= hop {
		d.take(z[:hop])
		z = z[hop:]
		d.decide()
	}
	d.pending = d.pending[:copy(d.pending, z)]
}

// take hands samples to everything that listens.
func (d *Decoder) take(z []complex64) {
	d.video.Append(z)
	z = d.guard.pass(z)
	d.coarse.add(z)
	d.tones.add(z, d.tone)
}

// decide begins and ends charts after each hop.
func (d *Decoder) decide() {
	now := d.video.End()
	if d.chart == nil {
		d.video.DropBefore(now - keptSeconds*VideoRate)
	}
	if d.inTone != 0 {
		if d.tones.present(d.inTone) {
			return
		}
		// The tone has ended: after a start tone the chart begins.
		if d.inTone != StopHz {
			ioc := 576
			if d.inTone == StartHz288 {
				ioc = 288
			}
			d.begin(now-toneTail*hop, ioc, BeganStartTone)
		}
		d.inTone, d.ended = 0, now
		d.nextLook = now + leastSeconds*VideoRate
		return
	}
	if d.chart != nil && d.chart.closing {
		if now-d.ended >= afterSeconds*VideoRate {
			d.close()
		}
		return
	}
	if now >= d.nextLook {
		d.nextLook = now + lookSeconds*VideoRate
		d.look(false)
	}
	if d.chart != nil && now-d.chart.From > draw.LongestSeconds*VideoRate {
		d.end(now, EndedLength)
	}
}

// tone is called when a control tone has been heard for a while.
func (d *Decoder) tone(t toneFound) {
	if d.inTone == t.hz {
		return
	}
	switch {
	case d.chart == nil:
	case d.chart.closing:
		d.close()
	case t.hz != StopHz:
		d.end(t.from, EndedStartTone)
	default:
		d.chart.To, d.chart.closing = t.from, true // what comes after the tone belongs to the chart's evidence
	}
	d.inTone = t.hz
}

// look measures line agreement: it begins a chart that was not announced, finds the line rate of one that was,
// and ends one whose signal is lost.
func (d *Decoder) look(last bool) {
	d.window = d.coarse.last(d.window)
	since := d.ended // the cells before the chart, or of the one before it, are no part of it
	if d.chart != nil {
		since = d.chart.From
	}
	w := d.window
	if have := (d.video.End() - since) / cellLength; have < int64(len(w)) {
		w = w[int64(len(w))-have:]
	}
	least := leastSeconds * int(cellRate)
	if last {
		least /= 2
	}
	if len(w) < least {
		return
	}
	rates := LineRates
	switch {
	case d.chart != nil && d.chart.LPM != 0:
		d.rate[0] = d.chart.LPM
		rates = d.rate[:]
	case d.config.LPM != 0:
		d.rate[0] = d.config.LPM
		rates = d.rate[:]
	}
	near := besideUnknown
	if d.chart != nil {
		near = besideChart
	}
	lpm, strength := lineRate(w, rates, near)

	constant := envelope(w)
	switch {
	case d.chart == nil:
		if strength > beginAgreement && constant > leastEnvelope && drawn(w, lpm) {
			d.begin(max(d.onset(), d.ended), 576, BeganJoined)
			d.chart.LPM = lpm
			d.heard = d.video.End()
			d.report()
		}
		return
	case d.chart.LPM == 0 && strength > knownAgreement:
		d.chart.LPM = lpm
		d.report()
	}
	now := d.video.End()
	if strength > keepAgreement {
		d.agreed = now
	}
	if constant > strongEnvelope && now-d.agreed > blankSeconds*VideoRate {
		d.end(d.agreed, EndedLost)
		return
	}
	if strength > keepAgreement || constant > leastEnvelope {
		d.heard, d.lost = now, 0
		return
	}
	if d.lost == 0 { // now, because the cells do not reach back for all of a long loss time
		d.lost = d.lastSignal()
	}
	if float64(now-d.heard) > d.config.LossSeconds*VideoRate {
		d.end(d.lost, EndedLost)
	}
}

// begin starts a chart at video index from.
func (d *Decoder) begin(from int64, ioc int, b Began) {
	if d.config.IOC != 0 {
		ioc = d.config.IOC
	}
	d.chart = &coming{Heard: draw.Heard{
		From: from, SampleRate: d.config.SampleRate, IOC: ioc, LPM: d.config.LPM, Began: b,
	}}
	d.heard, d.agreed, d.lost = d.video.End(), d.video.End(), 0
	d.video.DropBefore(from)
	d.report()
}

func (d *Decoder) report() {
	if d.events.State == nil {
		return
	}
	at := d.base + int64(float64(d.video.End())*d.config.SampleRate/VideoRate)
	s := State{At: at}
	if c := d.chart; c != nil {
		s = State{At: at, Receiving: true, IOC: c.IOC, LPM: c.LPM, Began: c.Began}
	}
	d.events.State(s)
}

// end finishes the chart at video index to and delivers it.
func (d *Decoder) end(to int64, how Ended) {
	h := d.chart.Heard
	d.ended = d.video.End()
	h.To, h.Ended = max(to, h.From), how
	d.chart = nil
	video := d.video
	d.video = video.After(min(h.To, video.End()))
	if h.LPM == 0 && how != EndedLost { // announced, but too weak to tell: what is in use at sea (common practice)
		h.LPM = 120
	}
	if h.LPM != 0 {
		d.deliver(&Undrawn{video: video, heard: h, config: d.config, base: d.base, sender: d.sender})
	}
	d.report()
}

func (d *Decoder) deliver(u *Undrawn) {
	switch {
	case d.events.Undrawn != nil:
		d.events.Undrawn(u)
	case d.events.Chart != nil:
		if ch := u.Draw(); ch != nil {
			d.events.Chart(ch)
		}
	}
}

// close ends a chart after its stop tone.
func (d *Decoder) close() {
	if d.inTone == 0 {
		d.chart.After = d.ended
	}
	d.end(d.chart.To, EndedStopTone)
}

// envelopeCells is the window, 2 s, in which the beginning and the end of a signal are looked for.
const envelopeCells = 2 * cellRate

// onset is the video index at which the signal that is there now began: the first window that has it, gaps of
// up to 10 s not counting.
func (d *Decoder) onset() int64 {
	return d.signalEdge(func(have []bool) int {
		first := len(have)
		for i := len(have) - 1; i >= 0 && first-i <= 5; i-- {
			if have[i] {
				first = i
			}
		}
		return first
	})
}

// lastSignal is the video index at which the chart's signal was last there.
func (d *Decoder) lastSignal() int64 {
	return max(d.signalEdge(func(have []bool) int {
		for i := len(have) - 1; i >= 0; i-- {
			if have[i] {
				return i + 1
			}
		}
		return 0
	}), d.chart.From)
}

// signalEdge cuts the coarse video into windows, says in which of them a signal is, and turns the window that
// f chooses into a video index.
func (d *Decoder) signalEdge(f func(have []bool) int) int64 {
	cells := d.coarse.last(make([]cell, 0, keptCells))
	var have []bool
	for i := 0; i+envelopeCells <= len(cells); i += envelopeCells {
		have = append(have, envelope(cells[i:i+envelopeCells]) > 1.5*leastEnvelope)
	}
	if len(have) == 0 {
		return d.video.First()
	}
	first := (d.coarse.count - int64(len(cells))) * cellLength
	at := first + int64(f(have))*envelopeCells*cellLength
	return min(max(at, d.video.First()), d.video.End())
}
