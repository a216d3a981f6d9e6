// Package psk31 is the adapter of 31 Bd phase telegraphy.
package psk31

import (
	"image/color"
	"math"
	"strings"

	"ionoscribe/internal/mode"
	"ionoscribe/psk"
	"ionoscribe/samples"
)

// Mode is phase telegraphy. Each of many signals in a passband is a transmission of its own.
var Mode = &mode.Mode{
	Name:   "psk31",
	Title:  "phase telegraphy (PSK31)",
	ADIF:   "PSK", // from memory
	Colour: color.RGBA{R: 120, G: 230, B: 150, A: 255},

	Fields:   func(s mode.Settings) any { return fieldsOf(s.(psk.Settings)) },
	Reversed: func(s mode.Settings) mode.Settings { return s.(psk.Settings).Reversed() },
	// A decoder is of two phases or of four, and finds the sideband.
	Differ: func(ordered, sent mode.Settings) bool { return ordered.(psk.Settings).QPSK != sent.(psk.Settings).QPSK },

	Shape: mode.Shape{
		CutHz: cutHz, GapSeconds: 10, Even: true, MarginHz: 2, LeastSure: 0.7, // the next signal may be 40 Hz away
		Phase: &mode.Phase{Baud: psk.Baud},
	},
	NewJudge:   func() mode.Judge { return judge{} },
	NewDecoder: func(o mode.Order, t mode.Told) (mode.Decoder, error) { return newDecoder(psk.Config{}, o, t) },
	AudioHz:    cutHz,

	Invent: invent,
	Variants: []mode.Variant{{
		Name: "qpsk", Is: func(s mode.Settings) bool { return s.(psk.Settings).QPSK }, Invent: inventFour,
	}},
	// The signal takes some 60 Hz (ITU-R M.2034: 31.25 Bd with the amplitude of a cosine), and the next is to be kept away.
	RoomHz: 100,
	Beside: beside,

	Text: &mode.Text{
		Receive: func() mode.Receiver { return new(receiver) },
		Send:    func() mode.Sender { return new(sender) },
		Grade:   func() mode.Grader { return new(grader) },
		HzKey:   "pitch_hz",
	},
}

// fields of settings in JSON.
type fields struct {
	Baud     float64 `json:"baud"`
	Phases   int     `json:"phases"`
	Inverted bool    `json:"inverted,omitempty"`
}

func fieldsOf(s psk.Settings) fields {
	if s.QPSK {
		return fields{psk.Baud, 4, s.Inverted}
	}
	return fields{psk.Baud, 2, false}
}

// rounded is v to the nearest part of 1/by.
func rounded(v, by float64) float64 { return math.Round(v*by) / by }

const (
	edgeHz     = psk.Baud // to which a signal reaches on each side
	charBits   = 8.5      // of a character of capital letters and figures, with the gap behind it
	idleBefore = 2.0      // seconds
)

func invent(b mode.Brief) (mode.Invented, error) { return inventOf(b, psk.Settings{}) }

// inventFour invents one of four phases, on either sideband.
func inventFour(b mode.Brief) (mode.Invented, error) {
	return inventOf(b, psk.Settings{QPSK: true, Inverted: b.Random.IntN(2) == 0})
}

func inventOf(b mode.Brief, s psk.Settings) (v mode.Invented, err error) {
	v.Hz = b.Low
	if low, high := b.Low+edgeHz, b.High-edgeHz; low < high {
		v.Hz = low + (high-low)*b.Random.Float64()
	}
	v.Text = b.Text(max(int((b.Seconds-2*idleBefore)*psk.Baud/charBits), 1))
	v.Low, v.High, v.Settings = v.Hz-edgeHz, v.Hz+edgeHz, s
	v.Sound, err = samples.NewPSK31(samples.PSK31Config{
		SampleRate: b.SampleRate, Text: v.Text, QPSK: s.QPSK, Inverted: s.Inverted, PitchHz: v.Hz, IdleSeconds: idleBefore, Amplitude: 1,
	})
	return v, err
}

// beside repeats a text for an hour.
func beside(hz float64) func(rate float64, seed uint64) (samples.Signal, error) {
	return func(rate float64, _ uint64) (samples.Signal, error) {
		const text = "gale warning Ostrel Sea: southwest 8 backing south 9 soon\n"
		return samples.NewPSK31(samples.PSK31Config{SampleRate: rate, Text: strings.Repeat(text, 300), PitchHz: hz, Amplitude: 1})
	}
}
