// Package rtty is the adapter of radioteletype.
package rtty

import (
	"image/color"
	"math"
	"math/rand/v2"
	"strings"

	"ionoscribe/internal/mode"
	"ionoscribe/rtty"
	"ionoscribe/samples"
)

// Mode is radioteletype.
var Mode = &mode.Mode{
	Name:   "rtty",
	Title:  "radioteletype",
	ADIF:   "RTTY",
	Colour: color.RGBA{R: 255, G: 170, B: 20, A: 255},

	Fields:   func(s mode.Settings) any { return fieldsOf(s.(rtty.Settings)) },
	Reversed: func(s mode.Settings) mode.Settings { return s.(rtty.Settings).Reversed() },
	Differ:   func(ordered, sent mode.Settings) bool { return ordered.(rtty.Settings).Differ(sent.(rtty.Settings)) },

	Shape: mode.Shape{
		CutHz: cutHz, GapSeconds: 10, Even: true, MarginHz: 40, LeastSure: 0.5,
		Pair: &mode.Pair{
			LeastShiftHz: rtty.LeastShiftHz, MostShiftHz: rtty.MostShiftHz,
			Guess: func(shiftHz float64) mode.Settings { return rtty.Settings{ShiftHz: shiftHz} },
			Tones: func(s mode.Settings) (shiftHz, baud float64) {
				t := s.(rtty.Settings)
				return t.ShiftHz, t.Baud
			},
		},
	},
	NewJudge:   func() mode.Judge { return judge{} },
	NewDecoder: func(o mode.Order, t mode.Told) (mode.Decoder, error) { return newDecoder(rtty.Config{}, o, t) },
	AudioHz:    (rtty.LeastCentreHz + rtty.MostCentreHz) / 2,
	Frees:      true,

	Invent: invent,
	// A shift of 850 Hz takes some 1.3 kHz (ITU-R SM.1138), and the next is to be kept away.
	RoomHz: 900,
	InBand: 3,
	Beside: samples.TeleprinterAt,

	Text: &mode.Text{
		Receive: func() mode.Receiver { return new(receiver) },
		Send:    func() mode.Sender { return new(sender) },
		Grade:   func() mode.Grader { return new(grader) },
		HzKey:   "centre_hz",
	},
}

// fields of settings in JSON.
type fields struct {
	Baud     float64 `json:"baud,omitempty"`
	ShiftHz  float64 `json:"shift_hz,omitempty"`
	Mark     string  `json:"mark"` // the tone that is mark, on the air if the dial is known
	Alphabet string  `json:"alphabet"`
}

func fieldsOf(s rtty.Settings) fields {
	return fields{math.Round(s.Baud*100) / 100, math.Round(s.ShiftHz*10) / 10, s.Mark(), s.Alphabet.String()}
}

// usual are rates in baud and shifts in Hz of invented transmissions: those of amateurs and of weather broadcasts most, and
// others that are heard (common practice).
var usual = [][2]float64{{rtty.Baud45, 170}, {rtty.Baud45, 170}, {50, 170}, {50, 450}, {50, 85}, {75, 170}, {75, 450}, {100, 850}}

// elements of a character, with shifts between letters and figures.
const elements = 7.7

func invent(b mode.Brief) (v mode.Invented, err error) {
	r := b.Random
	u := usual[r.IntN(len(usual))]
	baud, shift := u[0], u[1]
	half := shift/2 + baud/2
	v.Hz = between(r, b.Low+half, max(b.High-half, b.Low+half))
	if b.Low == b.High {
		v.Hz = b.Low
	}
	v.Text = strings.ToUpper(b.Text(int(b.Seconds * baud / elements)))
	c := samples.RTTYConfig{Text: v.Text, SampleRate: b.SampleRate, Baud: baud, ShiftHz: shift,
		CentreHz: v.Hz, Inverted: r.IntN(2) == 0, Diddle: r.IntN(2) == 0, Amplitude: 1, Seed: b.Seed}
	s := rtty.Settings{Baud: baud, ShiftHz: shift, Polarity: rtty.MarkLower}
	if c.Inverted {
		s.Polarity = rtty.MarkHigher
	}
	v.Low, v.High, v.Settings = v.Hz-half, v.Hz+half, s
	v.Sound, err = samples.NewRTTY(c)
	return v, err
}

func between(r *rand.Rand, a, b float64) float64 { return a + (b-a)*r.Float64() }
