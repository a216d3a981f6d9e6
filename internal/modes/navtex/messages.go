package navtex

import (
	"fmt"
	"strings"

	"ionoscribe/internal/mode"
	"ionoscribe/rtty/modeb"
)

// messageDecoder tells NAVTEX messages when they have ended.
type messageDecoder struct {
	decoder  *modeb.Decoder
	messages *modeb.Messages
	lag      int64 // samples by which characters may come late
	total    int64
}

// lagSeconds is longer than a decoder holds characters back.
const lagSeconds = 20.0

// choice is which messages are told.
type choice struct {
	all      bool   // those too that were received well before
	subjects string // letters, but for those that cannot be switched off; "": all
}

func (c choice) wants(m *modeb.Message, n modeb.News) bool {
	if n == modeb.Again && !c.all {
		return false
	}
	// What a doubtful letter is may be mandatory.
	return c.subjects == "" || m.Subject.Mandatory() || m.Sure < leastSure || strings.ContainsRune(c.subjects, rune(m.Subject))
}

// leastSure is the probability of a preamble from which on it is believed.
const leastSure = 0.9

func newMessageDecoder(c modeb.Config, o mode.Order, t mode.Told, wanted choice) (*messageDecoder, error) {
	d := &messageDecoder{lag: int64(lagSeconds * o.SampleRate)}
	cautioned := false
	d.messages = modeb.NewMessages(o.SampleRate, func(m modeb.Message, n modeb.News) {
		if t.Text == nil || !wanted.wants(&m, n) {
			return
		}
		if !cautioned {
			cautioned = true
			t.Text(mode.Heard{At: m.At, Text: modeb.Caution + "\n", Confidence: 1, Fields: cautionFields{modeb.Caution}})
		}
		t.Text(mode.Heard{At: m.At, Text: headline(&m, n), Confidence: 1, Fields: messageFieldsOf(&m, n)})
		for _, l := range m.Text {
			t.Text(heardLetter(m.At, l))
		}
		t.Text(heardLetter(m.At, modeb.Letter{Rune: '\n', Confidence: 1}))
	})
	var err error
	d.decoder, err = modeb.New(ordered(c, o), modeb.Events{
		Char:  func(c modeb.Char) { d.messages.Take(c.At, c.Soft) },
		State: stateHook(t),
	})
	return d, err
}

func (d *messageDecoder) Write(block []float32) {
	d.decoder.Write(block)
	d.total += int64(len(block))
	d.messages.Advance(d.total - d.lag)
}

func (d *messageDecoder) Flush() {
	d.decoder.Flush()
	d.messages.Flush()
}

// headline is the line above a message; those that are mandatory stand out.
func headline(m *modeb.Message, n modeb.News) string {
	var b strings.Builder
	mark := "--"
	if m.Subject.Mandatory() {
		mark = "!!"
	}
	fmt.Fprintf(&b, "\n%s %s, station %c: %v, number %02d", mark, m.Preamble(), m.Station, m.Subject, m.Number)
	if m.Subject.Mandatory() {
		b.WriteString(", mandatory")
	}
	if m.Sure < leastSure {
		b.WriteString(", doubtful which")
	}
	if m.Receptions > 1 {
		fmt.Fprintf(&b, ", of %d receptions", m.Receptions)
	}
	switch n {
	case modeb.Better:
		b.WriteString(", better than before")
	case modeb.Again:
		b.WriteString(", received before")
	}
	if !m.Complete {
		b.WriteString(", its end was not heard")
	}
	if m.Wrong >= 1 {
		fmt.Fprintf(&b, ", about %.0f characters wrong", m.Wrong)
	}
	return b.String() + "\n"
}

type cautionFields struct {
	Caution string `json:"caution"`
}

// messageFields are what JSON has of a message.
type messageFields struct {
	Message struct {
		Preamble   string  `json:"preamble"`
		Station    string  `json:"station"`
		Subject    string  `json:"subject"`
		Number     int     `json:"number"`
		Mandatory  bool    `json:"mandatory"`
		Sure       float64 `json:"preamble_confidence"`
		News       string  `json:"news"` // first, better, again
		Receptions int     `json:"receptions"`
		Complete   bool    `json:"complete"`
		Wrong      float64 `json:"expected_wrong"`
		Text       string  `json:"text"`
	} `json:"message"`
}

func messageFieldsOf(m *modeb.Message, n modeb.News) (f messageFields) {
	j := &f.Message
	j.Preamble, j.Station, j.Subject, j.Number, j.Mandatory = m.Preamble(), string(rune(m.Station)), m.Subject.String(), m.Number, m.Subject.Mandatory()
	j.Sure, j.News, j.Receptions, j.Complete = rounded(m.Sure, 1000), n.String(), m.Receptions, m.Complete
	j.Wrong, j.Text = rounded(m.Wrong, 100), m.String()
	return f
}
