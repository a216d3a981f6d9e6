package copydesk

import (
	"fmt"
	"slices"
	"sync"
	"time"

	"ionoscribe/fax"
	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes"
	"ionoscribe/survey"
)

// mostCopies bounds memory and time; what is found beyond them is told of, but not copied.
const mostCopies = 100

// Config is complete with SampleRate alone, for audio.
type Config struct {
	Source     string                       // what events call the source
	SampleRate float64                      // Hz; see survey.Config
	IQ         bool                         // complex samples are written, with WriteIQ
	Time       func(sample int64) time.Time // UTC of a sample; nil: events have none
	// Live says that samples come as time goes. Then charts are told of when they are drawn, and samples never wait for that;
	// else they do, so that the same samples make the same events.
	Live  bool
	Copy  []string     // names of the modes that are copied; nil: all
	Modes []*mode.Mode // that are looked for; nil: all
}

// Desk copies what is in a stream of samples. It is one goroutine's at a time; while it is in Write, the survey and the
// copies share the processors. Events are told from Write's own goroutine, in an order that does not depend on that.
type Desk struct {
	config        Config
	stream        *Stream
	survey        *survey.Survey
	transmissions []*transmission
	numbers       int
	gap           gap
	full          bool // there are as many copies as there may be, and that was told
	drawings      []*drawing
	news          []news // of the survey, from the block that is being written
	audio         []float32
	iq            []complex64
}

// transmission is one that goes on, or of which something is still to be told.
type transmission struct {
	number  int
	finding survey.Finding
	mode    *mode.Mode // nil: none
	copy    *Copy      // nil: it is not copied, or not any more
	copied  bool       // it was
	drawing *drawing   // the last one under way
	over    bool       // it has ended, but for its drawings
}

func (t *transmission) event(w What, at int64) Event {
	return Event{What: w, At: at, Transmission: t.number, Finding: t.finding, Copied: t.copied}
}

// news is a hook of the survey that was called.
type news struct {
	finding survey.Finding
	ended   bool
}

// New makes a desk that tells a stream of its events; it fails if c is not valid.
func New(c Config, stream *Stream) (*Desk, error) {
	if c.Modes == nil {
		c.Modes = modes.All
	}
	for _, name := range c.Copy {
		if mode.Find(c.Modes, name) == nil {
			return nil, fmt.Errorf("copydesk: %q is the name of no mode", name)
		}
	}
	d := &Desk{config: c, stream: stream, audio: make([]float32, pieceLength), iq: make([]complex64, pieceLength)}
	found := func(f survey.Finding) { d.news = append(d.news, news{f, false}) }
	ended := func(f survey.Finding) { d.news = append(d.news, news{f, true}) }
	s, err := survey.New(survey.Config{SampleRate: c.SampleRate, IQ: c.IQ, Modes: c.Modes}, survey.Events{Found: found, Changed: found, Ended: ended})
	d.survey = s
	return d, err
}

// pieceLength is how many samples are dealt with at a time, at most.
const pieceLength = 1 << 14

// Write takes samples of audio in [-1, 1]. The block is neither kept nor changed.
func (d *Desk) Write(block []float32) {
	for len(block) > 0 {
		piece := block[:min(len(block), pieceLength)]
		block = block[len(piece):]
		at := d.survey.Total()
		d.share(func() { d.survey.Write(piece) }, func(c *Copy) { c.write(piece[c.next-at:]) })
	}
}

// WriteIQ is Write for complex samples.
func (d *Desk) WriteIQ(block []complex64) {
	for len(block) > 0 {
		piece := block[:min(len(block), pieceLength)]
		block = block[len(piece):]
		at := d.survey.Total()
		d.share(func() { d.survey.WriteIQ(piece) }, func(c *Copy) { c.writeIQ(piece[c.next-at:]) })
	}
}

// Lost tells how many of the samples that were written since the last call were lost, and silence was written for them: 0
// ends a gap.
func (d *Desk) Lost(samples int64) {
	g := &d.gap
	if samples == 0 {
		if g.lost > 0 {
			d.tell(Event{What: Gap, At: g.from, Lost: g.lost, Over: true})
		}
		*g = gap{}
		return
	}
	if g.lost == 0 {
		g.from = d.survey.Total() - samples
	}
	g.lost += samples
	if !g.told && float64(g.lost) > tellGapSeconds*d.config.SampleRate {
		g.told = true
		d.tell(Event{What: Gap, At: g.from, Lost: g.lost})
	}
}

// gap is what is being lost.
type gap struct {
	from, lost int64
	told       bool // while it goes on
}

// tellGapSeconds is how long a gap lasts of which it is told before it is over.
const tellGapSeconds = 10

// share has the survey and all copies take a piece at the same time, then tells what came of it.
func (d *Desk) share(surveyTakes func(), takes func(*Copy)) {
	var all sync.WaitGroup
	for _, t := range d.transmissions {
		if c := t.copy; c != nil {
			all.Go(func() { c.try(func() { takes(c) }) })
		}
	}
	surveyTakes()
	all.Wait()
	for _, t := range d.transmissions {
		d.deliver(t)
		d.release(t)
	}
	d.hear()
	if d.config.Live {
		d.drawn()
	} else {
		d.awaitDrawings()
	}
}

// Flush ends all that is being copied and waits for what is being drawn, then starts afresh. Sample indices go on.
func (d *Desk) Flush() {
	d.survey.Flush()
	d.hear()
	d.awaitDrawings()
	d.Lost(0)
}

// Copies are those under way, in the order of their beginnings.
func (d *Desk) Copies() (all []*Copy) {
	for _, t := range d.transmissions {
		if t.copy != nil {
			all = append(all, t.copy)
		}
	}
	return all
}

// Drawing says that a chart of a transmission is complete and being drawn: Chart tells of it, unless it turns out to be none.
func (d *Desk) Drawing(transmission int) bool {
	return slices.ContainsFunc(d.drawings, func(g *drawing) bool { return g.t.number == transmission })
}

// hear deals with the news of the survey.
func (d *Desk) hear() {
	for _, n := range d.news {
		if n.ended {
			d.ended(n.finding)
		} else {
			d.found(n.finding)
		}
	}
	d.news = d.news[:0]
}

// found begins a copy when the kind of a transmission is known. One that turns out to be of another kind is another one.
func (d *Desk) found(f survey.Finding) {
	t := d.transmission(f.ID)
	if t != nil && t.copied && t.finding.Kind != f.Kind {
		d.end(t)
		t = nil
	}
	if t == nil {
		d.numbers++
		t = &transmission{number: d.numbers, finding: f, mode: d.modeOf(f), copied: d.copies(f)}
		d.transmissions = append(d.transmissions, t)
		d.tell(t.event(Began, f.Begin))
		if t.copied {
			d.begin(t, f.Begin-int64(beforeSeconds*d.config.SampleRate), false)
		}
		return
	}
	before := t.finding
	begins := !t.copied && d.copies(f)
	t.finding, t.mode, t.copied = f, d.modeOf(f), t.copied || begins
	d.tell(t.event(Changed, d.survey.Total()))
	switch {
	case begins:
		d.begin(t, f.Begin-int64(beforeSeconds*d.config.SampleRate), false)
	case t.copy != nil && t.mode.Differ(before.Settings, f.Settings):
		d.again(t, false)
	}
}

// again has another decoder go on with a transmission, of the settings that are known now or, if it is free, of those
// that it finds. A chart is received anew if its beginning is still there; text goes on behind what was copied.
func (d *Desk) again(t *transmission, free bool) {
	from := t.finding.Begin - int64(beforeSeconds*d.config.SampleRate)
	if _, ok := t.copy.decoder.(mode.Charter); !ok || from < d.survey.First() {
		from = t.copy.heard
		t.copy.try(t.copy.decoder.Flush)
		d.deliver(t)
	}
	t.copy = nil
	d.begin(t, from, free)
}

// lostSeconds after what is still heard was lost, its sender has other settings: the pauses of operators are
// shorter (common practice), and what fades comes back.
const lostSeconds = 8

// release lets a copy find its settings itself when nothing is received any more with those that were found.
func (d *Desk) release(t *transmission) {
	c := t.copy
	if c == nil || !t.mode.Frees || c.free || c.lost == 0 || float64(d.survey.Total()-c.lost) < lostSeconds*d.config.SampleRate {
		return
	}
	d.again(t, true)
}

// modeOf is the mode of what was found; nil: it is of none.
func (d *Desk) modeOf(f survey.Finding) *mode.Mode { return mode.Find(d.config.Modes, string(f.Kind)) }

// copies says whether something is copied.
func (d *Desk) copies(f survey.Finding) bool {
	return d.modeOf(f) != nil && (d.config.Copy == nil || slices.Contains(d.config.Copy, string(f.Kind)))
}

// begin begins to copy a transmission from a sample on, unless there are too many, or there is no decoder that could receive it there.
func (d *Desk) begin(t *transmission, from int64, free bool) {
	if len(d.Copies()) >= mostCopies {
		if t.copied = false; !d.full {
			d.full = true
			d.trouble(nil, fmt.Errorf("%d transmissions are being copied, and no more at a time", mostCopies))
		}
		return
	}
	d.full = false
	if t.copy = newCopy(d, t, from, free); t.copy == nil {
		t.copied = false
		return
	}
	t.copy.try(t.copy.catchUp)
	d.deliver(t)
}

func (d *Desk) ended(f survey.Finding) {
	t := d.transmission(f.ID)
	if t == nil { // it ended before it was known
		return
	}
	t.finding = f
	d.end(t)
}

// end ends a transmission. That is told when its last chart is drawn.
func (d *Desk) end(t *transmission) {
	if t.copy != nil {
		t.copy.try(t.copy.decoder.Flush)
		d.deliver(t)
		t.copy = nil
	}
	d.transmissions = slices.DeleteFunc(d.transmissions, func(o *transmission) bool { return o == t })
	if t.over = true; t.drawing == nil {
		d.tell(t.event(Ended, t.finding.End))
	}
}

func (d *Desk) transmission(id int) *transmission {
	for _, t := range d.transmissions {
		if t.finding.ID == id {
			return t
		}
	}
	return nil
}

// deliver tells what a copy has said since it was asked last. One that failed is given up.
func (d *Desk) deliver(t *transmission) {
	c := t.copy
	if c == nil {
		return
	}
	for _, s := range c.pending {
		if s.undrawn != nil {
			d.draw(t, func() *fax.Chart { return c.place(s.undrawn.Draw()) })
			continue
		}
		d.tell(s.event)
	}
	clear(c.pending) // lets go of charts
	c.pending = c.pending[:0]
	if c.err == nil {
		c.err = try(func() { d.lines(t) })
	}
	if c.err != nil {
		t.copy = nil
		d.trouble(t, fmt.Errorf("nothing more of it is copied: %w", c.err))
	}
}

// lines tells of the lines that a chart has grown by.
func (d *Desk) lines(t *transmission) {
	f, ok := t.copy.decoder.(mode.Charter)
	if !ok {
		return
	}
	a, v := f.Arriving()
	l := &t.copy.told
	if v == nil || l.chart != a.Base+a.From {
		*l = toldLines{}
	}
	if v == nil {
		return
	}
	l.chart = a.Base + a.From
	for n := a.Lines(v); l.lines < n; l.lines++ {
		e := t.event(Line, t.copy.index(a.LineEnd(l.lines)))
		e.Row, e.Pixels = l.lines, func() []byte { return a.Line(v, e.Row) }
		d.tell(e)
	}
}

// trouble tells that something failed, of a transmission or of the source.
func (d *Desk) trouble(t *transmission, err error) {
	e := Event{}
	if t != nil {
		e = t.event(Trouble, 0)
	}
	e.What, e.At, e.Err = Trouble, d.survey.Total(), err
	d.tell(e)
}

func (d *Desk) tell(e Event) {
	e.Source = d.config.Source
	if d.config.Time != nil {
		e.UTC = d.config.Time(e.At).UTC()
	}
	d.stream.tell(e)
}
