package main

import (
	"slices"

	"ionoscribe/copydesk"
	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes"
)

// wide copies all of a mode in a band of complex samples, wherever the survey finds some: it knows the other modes too,
// whose tones a decoder that hears a few kilohertz alone may take for its own.
type wide struct {
	desk    *copydesk.Desk
	printer *textPrinter
	numbers map[int]int // of the signals that are being copied, by transmission
	last    int
}

func newWide(rate float64, m *mode.Mode, r mode.Receiver, p *textPrinter) (*wide, error) {
	w := &wide{printer: p, numbers: map[int]int{}}
	ordered := *m
	ordered.NewDecoder = r.NewDecoder
	all := slices.Clone(modes.All)
	all[slices.Index(all, m)] = &ordered
	stream := new(copydesk.Stream)
	stream.Listen(w.hear)
	var err error
	w.desk, err = copydesk.New(copydesk.Config{SampleRate: rate, IQ: true, Copy: []string{m.Name}, Modes: all}, stream)
	return w, err
}

func (w *wide) hear(e copydesk.Event) {
	if e.Heard != nil {
		h := *e.Heard
		h.Signal = w.number(e.Transmission)
		if e.What == copydesk.Text {
			w.printer.text(h)
		} else {
			w.printer.state(h)
		}
	}
	if e.What == copydesk.Ended {
		delete(w.numbers, e.Transmission)
	}
}

// number is that of a signal: they count from 1 in the order in which they were first read.
func (w *wide) number(transmission int) int {
	if w.numbers[transmission] == 0 {
		w.last++
		w.numbers[transmission] = w.last
	}
	return w.numbers[transmission]
}

// Write takes complex samples.
func (w *wide) Write(block []complex64) { w.desk.WriteIQ(block) }

// Flush ends everything.
func (w *wide) Flush() { w.desk.Flush() }
