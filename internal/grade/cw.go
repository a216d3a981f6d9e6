package grade

import (
	"fmt"
	"math"
	"math/rand/v2"
	"unicode/utf8"

	"ionoscribe/cw"
	"ionoscribe/demod"
	"ionoscribe/internal/theory"
	"ionoscribe/samples"
)

// CWCase says how the Morse of a trial is sent. Its zero fields are the usual ones.
type CWCase struct {
	WPM      float64 // words a minute; zero: 20
	Hand     bool    // a straight key with a jitter of 12 %, dashes of 2.7 to 3.5 dots; otherwise a machine
	BesideHz float64 // another message at equal level so far above, zero: none; then the pitch is ordered
	StepWPM  float64 // speed of the second half of the message, zero: the same
	Letters  bool    // groups of letters alone; otherwise of letters and figures
}

// cwSampleRate is that of receivers' audio.
const cwSampleRate = 12000

const (
	cwLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	cwFigures = "0123456789"
	cwGroup   = 5 // characters
)

// The pitch of a trial is anywhere between these, in Hz.
const cwLowest, cwHighest = 400, 1200

// CWMode is Morse as a mode that sends text: random groups, no pitch or speed ordered.
func CWMode(c CWCase) TextMode {
	if c.WPM == 0 {
		c.WPM = samples.DefaultWPM
	}
	return TextMode{
		Name: "cw", Title: "Morse code", SampleRate: cwSampleRate,
		Message: c.message, Send: c.send, Receive: c.receive,
		Theory: func(ch *samples.Channel) []theory.Curve {
			if ch != nil || c.Hand || c.BesideHz != 0 || c.StepWPM != 0 {
				return nil
			}
			return []theory.Curve{theory.MorseCurve(c.WPM, theory.Envelope, !c.Letters)}
		},
	}
}

func (c CWCase) message(rng *rand.Rand, n int) string {
	signs := cwLetters
	if !c.Letters {
		signs += cwFigures
	}
	b := make([]byte, n)
	for i := range b {
		if i%(cwGroup+1) == cwGroup && i < n-1 {
			b[i] = ' '
			continue
		}
		b[i] = signs[rng.IntN(len(signs))]
	}
	return string(b)
}

func (c CWCase) send(message string, rng *rand.Rand) (TextSignal, error) {
	config := samples.CWConfig{Text: message, SampleRate: cwSampleRate, WPM: c.WPM, Seed: rng.Uint64()}
	config.PitchHz = cwLowest + (cwHighest-cwLowest)*rng.Float64()
	if c.Hand {
		config.Sender = samples.StraightKey
	}
	if c.StepWPM != 0 {
		config.Speeds = []samples.CWSpeed{{At: len(message) / 2, WPM: c.StepWPM}}
	}
	s, err := samples.NewCW(config)
	if err != nil {
		return TextSignal{}, err
	}
	signal := TextSignal{Source: s, Power: s.Power(), Start: samples.DefaultCWSilenceSeconds}
	if c.BesideHz == 0 {
		return signal, nil
	}
	other := config
	other.Text, other.Seed = c.message(rng, utf8.RuneCountInString(message)), rng.Uint64()
	other.PitchHz += c.BesideHz
	beside, err := samples.NewCW(other)
	if err != nil {
		return TextSignal{}, err
	}
	signal.Source, err = samples.NewMix(s, beside, 1)
	return signal, err
}

func (c CWCase) receive(src demod.SampleReader) (heard []HeardChar, err error) {
	for ch, err := range cw.All(src, cw.Config{}) {
		if err != nil {
			return heard, err
		}
		r, _ := utf8.DecodeRuneInString(ch.Text)
		if utf8.RuneCountInString(ch.Text) > 1 { // a procedure signal, which is one error at most
			r = utf8.RuneError
		}
		heard = append(heard, HeardChar{r, float64(ch.At) / src.SampleRate(), ch.Confidence})
	}
	return heard, nil
}

var _ = fmt.Sprint
var _ = math.Pi
