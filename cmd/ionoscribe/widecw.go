package main

import (
	"ionoscribe/cw"
	"ionoscribe/internal/copydesk"
)

// wideCW copies the Morse in a band of complex samples, wherever the survey finds some: it knows the other modes too,
// whose tones a decoder that hears a few kilohertz alone may take for Morse.
type wideCW struct {
	desk    *copydesk.Desk
	numbers map[*copydesk.Copy]int // of the signals that are being copied
	last    int
}

func newWideCW(rate float64, c cw.Config, p cwPrinter) (*wideCW, error) {
	w := &wideCW{numbers: map[*copydesk.Copy]int{}}
	desk, err := copydesk.New(copydesk.Config{SampleRate: rate, IQ: true, MorseOnly: true, Morse: c}, copydesk.Events{
		Morse: func(c *copydesk.Copy, ch cw.Char) {
			ch.Signal = w.number(c)
			p.char(ch)
		},
		MorseState: func(c *copydesk.Copy, s cw.State) {
			s.Signal = w.number(c)
			p.state(s)
		},
		Ended: func(c *copydesk.Copy) { delete(w.numbers, c) },
	})
	w.desk = desk
	return w, err
}

// number is that of a signal: they count from 1 in the order in which they were first read.
func (w *wideCW) number(c *copydesk.Copy) int {
	if w.numbers[c] == 0 {
		w.last++
		w.numbers[c] = w.last
	}
	return w.numbers[c]
}

// Write takes complex samples.
func (w *wideCW) Write(block []complex64) { w.desk.WriteIQ(block) }

// Flush ends everything.
func (w *wideCW) Flush() { w.desk.Flush() }
