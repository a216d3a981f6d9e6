package copydesk

import (
	"math"

	"ionoscribe/demod"
	"ionoscribe/fax"
	"ionoscribe/internal/mode"
	"ionoscribe/survey"
)

// Copy is a transmission that is being copied.
type Copy struct {
	t       *transmission
	desk    *Desk
	tuner   *demod.Tuner // of complex samples; nil: of audio
	decoder mode.Decoder
	rate    float64 // Hz, of what the decoder gets
	lower   float64 // Hz by which the decoder hears it lower than it is in the band
	from    int64   // sample index where the decoder's first sample is
	next    int64   // sample index of what it gets next
	heard   int64   // sample index of the latest text
	lost    int64   // sample index since when the decoder receives nothing; 0: it does
	free    bool    // it finds the settings itself
	sound   []float32
	pending []said // what the decoder said and was not told yet
	told    toldLines
	err     error // that ended it
}

// said is an event, or a chart to be drawn.
type said struct {
	event   Event
	undrawn *fax.Undrawn
}

// toldLines are the lines of a chart that were told of.
type toldLines struct {
	chart int64 // sample index of the decoder where it begins
	lines int
}

// beforeSeconds before its beginning a transmission's decoder begins, to learn the noise.
const beforeSeconds = 2

// newCopy makes a copy of a transmission from a sample on; nil if there is no decoder that could receive it there, which
// is so at the very edge of a band only.
func newCopy(d *Desk, t *transmission, from int64, free bool) *Copy {
	f := t.finding
	c := &Copy{t: t, desk: d, rate: d.config.SampleRate, free: free}
	hz := f.Hz
	if d.config.IQ {
		hz = t.mode.AudioHz
		if edge := f.Hz + d.config.SampleRate/2; edge < hz && !t.mode.OnlyThere {
			hz = edge // no dial beyond the band
		}
		s, err := demod.NewTuner(demod.TunerConfig{SampleRate: d.config.SampleRate, DialHz: f.Hz - hz})
		if err != nil {
			return nil
		}
		c.tuner, c.rate, c.lower = s, s.Rate(), f.Hz-hz
	}
	if err := c.newDecoder(hz); err != nil {
		return nil
	}
	c.from = max(d.survey.First(), from, 0)
	c.next, c.heard = c.from, c.from
	return c
}

// newDecoder makes the decoder for what is found, which it hears at hz.
func (c *Copy) newDecoder(hz float64) (err error) {
	order := mode.Order{SampleRate: c.rate, Hz: hz, Settings: c.t.finding.Settings, Free: c.free}
	c.decoder, err = c.t.mode.NewDecoder(order, mode.Told{
		Text: func(h mode.Heard) {
			e := c.heardAt(Text, h)
			e.Text, e.Confidence = h.Text, h.Confidence
			c.heard = max(c.heard, e.At)
			c.pending = append(c.pending, said{event: e})
		},
		State: func(h mode.Heard) {
			e := c.heardAt(Changed, h)
			if c.lost = 0; h.Lost {
				c.lost = e.At
			}
			c.pending = append(c.pending, said{event: e})
		},
		Undrawn: func(u *fax.Undrawn) { c.pending = append(c.pending, said{undrawn: u}) },
	})
	return err
}

// heardAt is an event of what the decoder told, in the samples and frequencies of the desk.
func (c *Copy) heardAt(w What, h mode.Heard) Event {
	h.At = c.index(h.At)
	if h.Hz != 0 {
		h.Hz += c.lower
	}
	e := c.t.event(w, h.At)
	e.Heard = &h
	return e
}

// try calls f unless the decoder has failed; a panic of the decoder is its end, and no one else's.
func (c *Copy) try(f func()) {
	if c.err == nil {
		c.err = try(f)
	}
}

// catchUp hands the decoder what is in the survey's ring.
func (c *Copy) catchUp() {
	s := c.desk.survey
	for {
		if c.tuner == nil {
			n := s.Samples(c.desk.audio, c.next)
			if n == 0 {
				return
			}
			c.write(c.desk.audio[:n])
			continue
		}
		n := s.IQ(c.desk.iq, c.next)
		if n == 0 {
			return
		}
		c.writeIQ(c.desk.iq[:n])
	}
}

// write hands the decoder the next samples of audio.
func (c *Copy) write(block []float32) {
	c.next += int64(len(block))
	c.decoder.Write(block)
}

// writeIQ hands the decoder the next complex samples.
func (c *Copy) writeIQ(block []complex64) {
	c.next += int64(len(block))
	c.sound = c.tuner.Append(c.sound[:0], block)
	c.decoder.Write(c.sound)
}

// index turns a sample index of the decoder into one of the desk.
func (c *Copy) index(at int64) int64 {
	return c.from + int64(math.Round(float64(at)*c.desk.config.SampleRate/c.rate))
}

// place gives a chart the sample indices of the desk.
func (c *Copy) place(ch *fax.Chart) *fax.Chart {
	if ch != nil {
		ch.Start, ch.End, ch.SampleRate = c.index(ch.Start), c.index(ch.End), c.desk.config.SampleRate
	}
	return ch
}

// Transmission is the number that the events of the copy have.
func (c *Copy) Transmission() int { return c.t.number }

// Finding is what is known of the transmission by now.
func (c *Copy) Finding() survey.Finding { return c.t.finding }

// SoFar draws the chart that is being received as far as it has come by now; nil if there is none, or too little of it.
// Another goroutine may call it, once.
func (c *Copy) SoFar() func() *fax.Chart {
	d, ok := c.decoder.(mode.Charter)
	if !ok {
		return nil
	}
	u := d.SoFar()
	if u == nil {
		return nil
	}
	return func() (ch *fax.Chart) {
		if try(func() { ch = c.place(u.Draw()) }) != nil {
			return nil
		}
		return ch
	}
}

// Arriving tells of the chart that is being received, as its decoder does; see fax.Decoder. The decoder's sample 0 is the
// desk's sample of index zero. It is not ok if the decoder draws no charts.
func (c *Copy) Arriving() (a fax.Arriving, v *fax.Video, zero int64, ok bool) {
	d, ok := c.decoder.(mode.Charter)
	if ok {
		a, v = d.Arriving()
	}
	return a, v, c.from, ok
}
