package main

import (
	"ionoscribe/cw"
	"ionoscribe/internal/copydesk"
)

// wideCW copies the Morse in a band of complex samples, wherever the survey finds some: it knows the other modes too,
// whose tones a decoder that hears a few kilohertz alone may take for Morse.
type wideCW struct {
	desk    *copydesk.Desk
	printer cwPrinter
	numbers map[int]int // of the signals that are being copied, by transmission
	last    int
}

func newWideCW(rate float64, c cw.Config, p cwPrinter) (*wideCW, error) {
	w := &wideCW{printer: p, numbers: map[int]int{}}
	stream := new(copydesk.Stream)
	stream.Listen(w.hear)
	desk, err := copydesk.New(copydesk.Config{SampleRate: rate, IQ: true, MorseOnly: true, Morse: c}, stream)
	w.desk = desk
	return w, err
}

func (w *wideCW) hear(e copydesk.Event) {
	switch d := e.Detail.(type) {
	case cw.Char:
		d.Signal = w.number(e.Transmission)
		w.printer.char(d)
	case cw.State:
		d.Signal = w.number(e.Transmission)
		w.printer.state(d)
	}
	if e.What == copydesk.Ended {
		delete(w.numbers, e.Transmission)
	}
}

// number is that of a signal: they count from 1 in the order in which they were first read.
func (w *wideCW) number(transmission int) int {
	if w.numbers[transmission] == 0 {
		w.last++
		w.numbers[transmission] = w.last
	}
	return w.numbers[transmission]
}

// Write takes complex samples.
func (w *wideCW) Write(block []complex64) { w.desk.WriteIQ(block) }

// Flush ends everything.
func (w *wideCW) Flush() { w.desk.Flush() }
