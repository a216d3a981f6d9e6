package copydesk

import (
	"math"

	"ionoscribe/cw"
	"ionoscribe/demod"
	"ionoscribe/fax"
	"ionoscribe/internal/survey"
	"ionoscribe/rtty"
)

// Copy is a transmission that is being copied.
type Copy struct {
	Finding survey.Finding // as it is known by now

	desk    *Desk
	tuner   *demod.Tuner // of complex samples; nil: of audio
	decoder decoder
	rate    float64 // Hz, of what the decoder gets
	from    int64   // sample index where the decoder's first sample is
	next    int64   // sample index of what it gets next
	sound   []float32
	pending []func(*Events) // what the decoder said and was not delivered yet
}

type decoder interface {
	Write(block []float32)
	Flush()
}

// beforeSeconds before its beginning a transmission's decoder begins, to learn the noise.
const beforeSeconds = 2

// Where transmissions lie in the audio of a tuner: in the middle of what decoders hear, a fax where it belongs.
const (
	morseHz       = 1000.0
	teleprinterHz = (rtty.LeastCentreHz + rtty.MostCentreHz) / 2
)

// newCopy makes a copy of a finding; nil if there is no decoder that could receive it there, which is so at the very
// edge of a band only.
func newCopy(d *Desk, f survey.Finding) *Copy {
	c := &Copy{Finding: f, desk: d, rate: d.config.SampleRate}
	hz := f.Hz
	if d.config.IQ {
		hz = map[survey.Kind]float64{survey.Morse: morseHz, survey.Teleprinter: teleprinterHz, survey.Fax: fax.CentreHz}[f.Kind]
		if edge := f.Hz + d.config.SampleRate/2; edge < hz && f.Kind != survey.Fax {
			hz = edge // no dial beyond the band
		}
		s, err := demod.NewTuner(demod.TunerConfig{SampleRate: d.config.SampleRate, DialHz: f.Hz - hz})
		if err != nil {
			return nil
		}
		c.tuner, c.rate = s, s.Rate()
	}
	var err error
	switch f.Kind {
	case survey.Morse:
		order := d.config.Morse
		order.SampleRate, order.PitchHz = c.rate, hz
		c.decoder, err = cw.New(order, cw.Events{
			Char: func(ch cw.Char) {
				c.text(ch.At, ch.Text, ch.Confidence)
				c.morse(ch, f.Hz-hz)
			},
			State: func(s cw.State) { c.morseState(s, f.Hz-hz) },
		})
	case survey.Teleprinter:
		c.decoder, err = rtty.New(rtty.Config{
			SampleRate: c.rate, CentreHz: hz, ShiftHz: f.ShiftHz, Baud: f.Baud, Polarity: f.Polarity, Alphabets: []rtty.Alphabet{f.Alphabet},
		}, rtty.Events{Char: func(ch rtty.Char) {
			c.text(ch.At, string(ch.Rune), ch.Confidence)
		}})
	case survey.Fax:
		c.decoder, err = fax.New(fax.Config{SampleRate: c.rate, IOC: f.IOC, LPM: f.LPM}, fax.Events{Chart: func(ch *fax.Chart) {
			c.place(ch)
			c.say(func(e *Events) {
				if e.Chart != nil {
					e.Chart(c, ch)
				}
			})
		}})
	}
	if err != nil {
		return nil
	}
	c.from = max(d.survey.First(), f.Begin-int64(beforeSeconds*d.config.SampleRate), 0)
	c.next = c.from
	return c
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

// say calls a hook later, when it is this copy's turn.
func (c *Copy) say(f func(*Events)) { c.pending = append(c.pending, f) }

// deliver calls the hooks.
func (c *Copy) deliver() {
	for _, f := range c.pending {
		f(&c.desk.events)
	}
	clear(c.pending) // lets go of charts
	c.pending = c.pending[:0]
}

// index turns a sample index of the decoder into one of the desk.
func (c *Copy) index(at int64) int64 {
	return c.from + int64(math.Round(float64(at)*c.desk.config.SampleRate/c.rate))
}

func (c *Copy) text(at int64, text string, confidence float64) {
	x := Text{c.index(at), text, confidence}
	c.say(func(e *Events) {
		if e.Text != nil {
			e.Text(c, x)
		}
	})
}

// morse tells of a character whose pitch is so much lower than its frequency.
func (c *Copy) morse(ch cw.Char, lower float64) {
	ch.At, ch.End, ch.PitchHz = c.index(ch.At), c.index(ch.End), ch.PitchHz+lower
	c.say(func(e *Events) {
		if e.Morse != nil {
			e.Morse(c, ch)
		}
	})
}

// morseState is morse for a change of what is known of the signal.
func (c *Copy) morseState(s cw.State, lower float64) {
	s.At, s.PitchHz = c.index(s.At), s.PitchHz+lower
	c.say(func(e *Events) {
		if e.MorseState != nil {
			e.MorseState(c, s)
		}
	})
}

// place gives a chart the sample indices of the desk.
func (c *Copy) place(ch *fax.Chart) {
	ch.Start, ch.End, ch.SampleRate = c.index(ch.Start), c.index(ch.End), c.desk.config.SampleRate
}

// Peek draws the chart that is being received as far as it has come; nil if there is none, or too little of it.
func (c *Copy) Peek() *fax.Chart {
	d, ok := c.decoder.(*fax.Decoder)
	if !ok {
		return nil
	}
	ch := d.Peek()
	if ch != nil {
		c.place(ch)
	}
	return ch
}

// Arriving tells of the chart that is being received, as its decoder does; see fax.Decoder. The decoder's sample 0 is the
// desk's sample of index zero.
func (c *Copy) Arriving() (a fax.Arriving, v *fax.Video, zero int64) {
	if d, ok := c.decoder.(*fax.Decoder); ok {
		a, v = d.Arriving()
	}
	return a, v, c.from
}
