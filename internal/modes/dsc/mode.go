// Package dsc is the adapter of digital selective calling. A call is a line of text.
package dsc

import (
	"image/color"
	"math"

	"ionoscribe/internal/mode"
	"ionoscribe/internal/traffic"
	"ionoscribe/rtty/dsc"
	"ionoscribe/samples"
)

// Mode is selective calling on MF and HF; that of VHF is for the command alone, since it has receivers of its own.
var Mode = &mode.Mode{
	Name:   "dsc",
	Title:  "selective calling",
	Colour: color.RGBA{R: 255, G: 150, B: 130, A: 255},

	Fields:   func(s mode.Settings) any { return fieldsOf(s.(dsc.Settings)) },
	Reversed: func(s mode.Settings) mode.Settings { return s.(dsc.Settings).Reversed() },
	Differ:   func(ordered, sent mode.Settings) bool { return false }, // a decoder finds everything

	Shape: mode.Shape{
		CutHz: cutHz, GapSeconds: 5, Even: true, MarginHz: 40, LeastSure: 0.9,
		Pair: &mode.Pair{
			LeastShiftHz: dsc.UsualShiftHz - offShiftHz, MostShiftHz: dsc.UsualShiftHz + offShiftHz,
			LongestSeconds: 12, // a call with a long dot pattern takes up to 9
			Guess:          func(float64) mode.Settings { return dsc.Settings{} },
			Tones: func(s mode.Settings) (shiftHz, baud float64) {
				return s.(dsc.Settings).ShiftHz(), s.(dsc.Settings).Baud()
			},
		},
	},
	NewJudge:   func() mode.Judge { return judge{} },
	NewDecoder: func(o mode.Order, t mode.Told) (mode.Decoder, error) { return newDecoder(dsc.Config{}, o, t) },
	AudioHz:    cutHz,

	Invent: invent,
	// The tones with their sidebands take some 300 Hz (ITU-R SM.1138), and the next is to be kept away.
	RoomHz: 400,

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
	ShiftHz float64 `json:"shift_hz"`
	B       string  `json:"b"` // the tone that is B, on the air if the dial is known
}

func fieldsOf(s dsc.Settings) fields { return fields{s.Baud(), s.ShiftHz(), s.B()} }

// rounded is v to the nearest part of 1/by.
func rounded(v, by float64) float64 { return math.Round(v*by) / by }

// invent invents a call, which takes its own time.
func invent(b mode.Brief) (v mode.Invented, err error) {
	r := b.Random
	half := dsc.UsualShiftHz/2 + dsc.Baud/2
	v.Hz = b.Low
	if b.Low != b.High {
		low := b.Low + half
		v.Hz = low + (max(b.High-half, low)-low)*r.Float64()
	}
	c := samples.DSCConfig{Call: traffic.Call(r, "299000001")}
	c.SampleRate, c.CentreHz, c.Inverted, c.Amplitude = b.SampleRate, v.Hz, r.IntN(2) == 0, 1
	v.Text = line(&dsc.Reception{Call: c.Call, OK: true})
	v.Low, v.High = v.Hz-half, v.Hz+half
	v.Settings = dsc.Settings{Inverted: c.Inverted}
	v.Sound, err = samples.NewDSC(c)
	return v, err
}
