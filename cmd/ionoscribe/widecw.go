package main

import (
	"slices"

	"ionoscribe/copydesk"
	"ionoscribe/cw"
	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes"
	cwmode "ionoscribe/internal/modes/cw"
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
	desk, err := copydesk.New(copydesk.Config{SampleRate: rate, IQ: true, Copy: []string{"cw"}, Modes: ordered(c)}, stream)
	w.desk = desk
	return w, err
}

func (w *wideCW) hear(e copydesk.Event) {
	switch h := e.Heard; {
	case h == nil:
	case e.What == copydesk.Text:
		w.printer.char(cw.Char{Symbol: cw.Symbol{Text: h.Text}, Signal: w.number(e.Transmission), At: h.At, Confidence: h.Confidence, PitchHz: h.Hz, WPM: wpm(h)})
	default:
		w.printer.state(cw.State{Signal: w.number(e.Transmission), At: h.At, Receiving: !h.Lost, PitchHz: h.Hz, WPM: wpm(h)})
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

// ordered are all modes, Morse with an order.
func ordered(c cw.Config) []*mode.Mode {
	all := slices.Clone(modes.All)
	m := *all[0]
	m.NewDecoder = func(o mode.Order, t mode.Told) (mode.Decoder, error) { return cwmode.NewDecoder(c, o, t) }
	all[0] = &m
	return all
}

func wpm(h *mode.Heard) float64 {
	s, _ := h.Settings.(cw.Settings)
	return s.WPM
}
