// Package navtex is the adapter of mode B of the seven-unit code, and of the NAVTEX messages that are sent in it. The copy desk copies
// all text in mode B; the command navtex prints messages alone, unless it is asked for any text.
//
//	modeb.Decoder → Char ┬→ text as it comes
//	                     └→ modeb.Messages → Message → heading and text
package navtex

import (
	"fmt"
	"image/color"
	"math"
	"math/rand/v2"
	"strings"

	"ionoscribe/internal/mode"
	"ionoscribe/rtty/modeb"
	"ionoscribe/samples"
)

// Mode is mode B.
var Mode = &mode.Mode{
	Name:   "navtex",
	Title:  "mode B (NAVTEX)",
	ADIF:   "TOR", // from memory
	Colour: color.RGBA{R: 150, G: 160, B: 255, A: 255},

	Fields:   func(s mode.Settings) any { return fieldsOf(s.(modeb.Settings)) },
	Reversed: func(s mode.Settings) mode.Settings { return s.(modeb.Settings).Reversed() },
	Differ:   func(ordered, sent mode.Settings) bool { return false }, // a decoder finds everything but the shift

	Shape: mode.Shape{
		CutHz: cutHz, GapSeconds: 10, Even: true, MarginHz: 40, LeastSure: 0.5,
		Pair: &mode.Pair{
			LeastShiftHz: modeb.UsualShiftHz - offShiftHz, MostShiftHz: modeb.UsualShiftHz + offShiftHz,
			Guess: func(shiftHz float64) mode.Settings { return modeb.Settings{ShiftHz: shiftHz} },
			Tones: func(s mode.Settings) (shiftHz, baud float64) { return s.(modeb.Settings).ShiftHz, modeb.Baud },
		},
	},
	NewJudge:   func() mode.Judge { return judge{} },
	NewDecoder: func(o mode.Order, t mode.Told) (mode.Decoder, error) { return newDecoder(modeb.Config{}, o, t) },
	AudioHz:    cutHz,

	Invent: invent,
	// The tones with their sidebands take some 300 Hz (ITU-R SM.1138), and the next is to be kept away.
	RoomHz: 400,
	Beside: beside,

	Text: &mode.Text{
		Receive: func() mode.Receiver { return new(receiver) },
		Send:    func() mode.Sender { return new(sender) },
		Grade:   func() mode.Grader { return new(grader) },
		HzKey:   "centre_hz",
	},
}

// offShiftHz is by how much two lines of a spectrum may be off 170 Hz.
const offShiftHz = 30.0

// fields of settings in JSON.
type fields struct {
	Baud    float64 `json:"baud"`
	ShiftHz float64 `json:"shift_hz,omitempty"`
	B       string  `json:"b"`                // the tone that is B, on the air if the dial is known
	ModeA   bool    `json:"mode_a,omitempty"` // it is mode A, which is not copied
}

func fieldsOf(s modeb.Settings) fields {
	return fields{modeb.Baud, math.Round(s.ShiftHz*10) / 10, s.B(), s.ModeA}
}

// invent invents a NAVTEX message.
func invent(b mode.Brief) (v mode.Invented, err error) {
	r := b.Random
	half := modeb.UsualShiftHz/2 + modeb.Baud/2
	v.Hz = b.Low
	if b.Low != b.High {
		low := b.Low + half
		v.Hz = low + (max(b.High-half, low)-low)*r.Float64()
	}
	head := heading(r)
	v.Text = head + strings.ToUpper(b.Text(max(int((b.Seconds-overheadSeconds)/charSeconds/withShifts)-len(head), 1))) + "\nNNNN\n"
	c := samples.ModeBConfig{Text: v.Text, AlphaFirst: r.IntN(2) == 0}
	c.SampleRate, c.CentreHz, c.Inverted, c.Amplitude = b.SampleRate, v.Hz, r.IntN(2) == 0, 1
	v.Low, v.High = v.Hz-half, v.Hz+half
	v.Settings = modeb.Settings{ShiftHz: modeb.UsualShiftHz, Inverted: c.Inverted}
	v.Sound, err = samples.NewModeB(c)
	return v, err
}

const (
	charSeconds     = 2 * modeb.Units / modeb.Baud
	withShifts      = 1.1 // codes for a character of text
	overheadSeconds = 4.5 // seconds of phasing and idle signals
)

// heading begins an invented message.
func heading(r *rand.Rand) string {
	return fmt.Sprintf("ZCZC %c%c%02d\n", 'A'+r.IntN(24), "ABCDE"[r.IntN(5)], 1+r.IntN(99))
}

// beside repeats a message for an hour.
func beside(hz float64) func(rate float64, seed uint64) (samples.Signal, error) {
	return func(rate float64, seed uint64) (samples.Signal, error) {
		r := rand.New(rand.NewPCG(seed, 0x6e617674))
		c := samples.ModeBConfig{Text: strings.Repeat(heading(r)+"GALE WARNING OSTREL SEA SOUTHWEST 8 BACKING SOUTH 9 SOON\nNNNN\n", 350)}
		c.SampleRate, c.CentreHz, c.Amplitude = rate, hz, 1
		return samples.NewModeB(c)
	}
}
