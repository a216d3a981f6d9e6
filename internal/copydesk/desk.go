package copydesk

import (
	"slices"
	"sync"

	"ionoscribe/cw"
	"ionoscribe/fax"
	"ionoscribe/internal/survey"
)

// mostCopies bounds memory and time; what is found beyond them is reported, but not copied.
const mostCopies = 100

// Config is complete with SampleRate alone, for audio.
type Config struct {
	SampleRate float64   // Hz; see survey.Config
	IQ         bool      // complex samples are written, with WriteIQ
	MorseOnly  bool      // nothing else is copied
	Morse      cw.Config // what is ordered of Morse, but for its rate and pitch
}

// Text is a character, or what a procedure signal or a control is shown as.
type Text struct {
	At         int64 // sample index
	Text       string
	Confidence float64
}

// Events are called from inside Write, WriteIQ and Flush; nil is "not wanted". A hook must not call the desk; those of a
// copy may call its Peek.
type Events struct {
	Text  func(*Copy, Text)
	Chart func(*Copy, *fax.Chart)
	// Morse and MorseState tell of Morse all that its decoder does, beside Text; with the sample indices of the desk, and
	// pitches that are frequencies of the band.
	Morse      func(*Copy, cw.Char)
	MorseState func(*Copy, cw.State)
	// Ended is called for each finding that was copied, when nothing more comes of it.
	Ended func(*Copy)
	// Found is called for each transmission that has ended, copied or not.
	Found func(survey.Finding)
}

// Desk copies what is in a stream of samples. It is one goroutine's at a time; while it is in Write, the survey and the
// copies share the processors. Hooks are called from Write's own goroutine, in an order that does not depend on that.
type Desk struct {
	config Config
	events Events
	survey *survey.Survey
	copies []*Copy
	news   []news // of the survey, from the block that is being written
	audio  []float32
	iq     []complex64
}

// news is a hook of the survey that was called.
type news struct {
	finding survey.Finding
	ended   bool
}

// New makes a desk; it fails if c is not valid.
func New(c Config, e Events) (*Desk, error) {
	d := &Desk{config: c, events: e, audio: make([]float32, pieceLength), iq: make([]complex64, pieceLength)}
	found := func(f survey.Finding) { d.news = append(d.news, news{f, false}) }
	ended := func(f survey.Finding) { d.news = append(d.news, news{f, true}) }
	s, err := survey.New(survey.Config{SampleRate: c.SampleRate, IQ: c.IQ}, survey.Events{Found: found, Changed: found, Ended: ended})
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

// share has the survey and all copies take a piece at the same time, then delivers what came of it.
func (d *Desk) share(surveyTakes func(), takes func(*Copy)) {
	var all sync.WaitGroup
	for _, c := range d.copies {
		all.Go(func() { takes(c) })
	}
	surveyTakes()
	all.Wait()
	for _, c := range d.copies {
		c.deliver()
	}
	d.hear()
}

// Flush ends all that is being copied, then starts afresh. Sample indices go on.
func (d *Desk) Flush() {
	d.survey.Flush()
	d.hear()
}

// Copies are those under way.
func (d *Desk) Copies() []*Copy { return d.copies }

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

// found begins a copy when the kind of a transmission is known, and anew when it was another.
func (d *Desk) found(f survey.Finding) {
	if c := d.copyOf(f.ID); c != nil {
		if c.Finding.Kind == f.Kind {
			c.Finding = f
			return
		}
		d.end(c)
	}
	if f.Kind < survey.Morse || d.config.MorseOnly && f.Kind != survey.Morse || len(d.copies) >= mostCopies {
		return
	}
	if c := newCopy(d, f); c != nil {
		d.copies = append(d.copies, c)
		c.catchUp()
		c.deliver()
	}
}

func (d *Desk) ended(f survey.Finding) {
	if c := d.copyOf(f.ID); c != nil {
		c.Finding = f
		d.end(c)
	}
	if d.events.Found != nil {
		d.events.Found(f)
	}
}

func (d *Desk) end(c *Copy) {
	c.decoder.Flush()
	c.deliver()
	if d.events.Ended != nil {
		d.events.Ended(c)
	}
	d.copies = slices.DeleteFunc(d.copies, func(o *Copy) bool { return o == c })
}

func (d *Desk) copyOf(id int) *Copy {
	for _, c := range d.copies {
		if c.Finding.ID == id {
			return c
		}
	}
	return nil
}
