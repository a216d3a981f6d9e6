// Package cw is the adapter of Morse.
package cw

import (
	"image/color"
	"math"
	"math/rand/v2"
	"strings"

	"ionoscribe/cw"
	"ionoscribe/internal/mode"
	"ionoscribe/samples"
)

// Mode is Morse.
var Mode = &mode.Mode{
	Name:   "cw",
	Title:  "Morse",
	ADIF:   "CW",
	Colour: color.RGBA{R: 86, G: 200, B: 255, A: 255},

	Fields: func(s mode.Settings) any { return fieldsOf(s.(cw.Settings)) },
	Differ: func(mode.Settings, mode.Settings) bool { return false }, // a decoder that is ordered a speed follows it

	Shape: mode.Shape{
		CutHz: cutHz, GapSeconds: 10, MarginHz: 25, LeastSure: 0.65,
		Line: &mode.Line{Fit: fit},
	},
	NewJudge:   func() mode.Judge { return judge{} },
	NewDecoder: func(o mode.Order, t mode.Told) (mode.Decoder, error) { return newDecoder(cw.Config{}, o, t) },
	AudioHz:    1000, // the middle of what is usually heard (common practice)

	Invent: invent,
	// 50 to 100 Hz are taken (ITU-R SM.1138), and the next is to be kept away.
	RoomHz: 250,
	InBand: 10,
	Beside: samples.MorseAt,

	Text: &mode.Text{
		Receive: func() mode.Receiver { return new(receiver) },
		Send:    func() mode.Sender { return new(sender) },
		Grade:   func() mode.Grader { return new(grader) },
		HzKey:   "pitch_hz",
	},
}

// fields of settings in JSON.
type fields struct {
	WPM float64 `json:"wpm,omitempty"`
}

func fieldsOf(s cw.Settings) fields { return fields{rounded(s.WPM, 10)} }

// rounded is v to the nearest part of 1/by.
func rounded(v, by float64) float64 { return math.Round(v*by) / by }

const (
	slowest, fastest = 12.0, 35.0 // words a minute of invented transmissions
	jitter           = 0.08       // of hands: that of a good one
	edgeHz           = 30.0       // to which keying reaches
)

func invent(b mode.Brief) (v mode.Invented, err error) {
	r := b.Random
	wpm := math.Round(between(r, slowest, fastest))
	v.Hz = between(r, b.Low, b.High)
	hand := samples.CWSender(r.IntN(4))
	if b.ByMachine {
		hand = samples.Machine
	}
	characters := b.Seconds * wpm / 10 // a word of PARIS, the measure of speed, has five letters and a gap
	v.Text = oneLine(b.Text(int(characters)))
	v.Low, v.High, v.Settings, v.Detail = v.Hz-edgeHz, v.Hz+edgeHz, cw.Settings{WPM: wpm}, hand.String()
	v.Sound, err = samples.NewCW(samples.CWConfig{Text: v.Text, SampleRate: b.SampleRate, WPM: wpm, PitchHz: v.Hz,
		Sender: hand, Jitter: jitter, LeadSeconds: -1, TrailSeconds: -1, Amplitude: 1, Seed: b.Seed})
	return v, err
}

// oneLine is text as Morse has it: a new line is a gap between words.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

func between(r *rand.Rand, a, b float64) float64 { return a + (b-a)*r.Float64() }
