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
	Hand     bool    // a straight key with a jitter of 12 %; otherwise a machine
	StepWPM  float64 // speed of the second half of the message; zero: the same
	BesideHz float64 // another message at equal level so far above, at the same speed; zero: none. Then the pitch is ordered
	// Signals is how many messages are sent at once, 150 Hz apart, at speeds from 12 to 35 words a minute; all are
	// copied, and that in the middle is graded. Zero: one.
	Signals int
	Letters bool // groups of letters alone; otherwise of letters and figures
	Plain   bool // plain language instead of groups
	// ExpectPlain orders the decoder to expect plain language; otherwise nothing.
	ExpectPlain bool
}

// cwSampleRate is that of receivers' audio.
const cwSampleRate = 12000

const (
	cwLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	cwFigures = "0123456789"
	cwGroup   = 5 // characters
)

// The pitch of a trial is anywhere between these, in Hz, or in the middle if there are other signals.
const (
	cwLowest, cwHighest  = 400, 1200
	cwMiddle             = 1850
	cwApart              = 150 // from one to the next of many signals
	cwSlowest, cwFastest = 12, 35
)

// CWMode is Morse as a mode that sends text: random groups, no pitch or speed ordered.
func CWMode(c CWCase) TextMode {
	if c.WPM == 0 {
		c.WPM = samples.DefaultWPM
	}
	return TextMode{
		Name: "cw", Title: "Morse code", SampleRate: cwSampleRate,
		Message: c.message, Send: c.send, Receive: c.receive,
		Theory: func(ch *samples.Channel) []theory.Curve {
			if ch != nil || c.Hand || c.BesideHz != 0 || c.StepWPM != 0 || c.Signals > 1 || c.Plain {
				return nil
			}
			return []theory.Curve{theory.MorseCurve(c.WPM, theory.Envelope, !c.Letters)}
		},
	}
}

func (c CWCase) message(rng *rand.Rand, n int) string {
	if c.Plain {
		return plainMessage(rng, n)
	}
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
	if c.Signals > 1 {
		config.WPM = cwSlowest + (cwFastest-cwSlowest)*rng.Float64()
	}
	if c.Signals > 1 || c.BesideHz != 0 {
		config.PitchHz, config.Amplitude = cwMiddle, 0.03
	}
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
	for i := 1; i < c.Signals; i++ {
		// One above, one below, and so on.
		hz := cwApart * float64((i+1)/2) * (1 - 2*float64(i%2))
		if signal.Source, err = c.beside(signal.Source, config, hz, rng); err != nil {
			return signal, err
		}
	}
	if c.BesideHz != 0 {
		signal.Source, err = c.beside(signal.Source, config, c.BesideHz, rng)
	}
	return signal, err
}

// beside adds another message, which sounds from beginning to end and starts within a second.
func (c CWCase) beside(src demod.SampleReader, config samples.CWConfig, hz float64, rng *rand.Rand) (demod.SampleReader, error) {
	n := utf8.RuneCountInString(config.Text)
	if c.Signals > 1 {
		config.WPM = cwSlowest + (cwFastest-cwSlowest)*rng.Float64()
		n *= 3 // the fastest one is longer than the slowest
	}
	config.Text, config.Seed = c.message(rng, n), rng.Uint64()
	config.PitchHz += hz
	config.LeadSeconds = 0.2 + rng.Float64()
	other, err := samples.NewCW(config)
	if err != nil {
		return nil, err
	}
	return samples.NewMix(src, other, 1)
}

func (c CWCase) receive(src demod.SampleReader) (heard []HeardChar, err error) {
	order := cw.Config{Signals: max(1, c.Signals), PlainLanguage: c.ExpectPlain}
	if c.Signals > 1 {
		order.Signals = cw.MaxSignals
	} else if c.BesideHz != 0 {
		order.PitchHz = cwMiddle
	}
	for ch, err := range cw.All(src, order) {
		if err != nil {
			return heard, err
		}
		if c.Signals > 1 && math.Abs(ch.PitchHz-cwMiddle) > cwApart/4 {
			continue
		}
		r, _ := utf8.DecodeRuneInString(ch.Text)
		if utf8.RuneCountInString(ch.Text) > 1 { // a procedure signal, which is one error at most
			r = utf8.RuneError
		}
		heard = append(heard, HeardChar{r, float64(ch.At) / src.SampleRate(), ch.Confidence})
	}
	return heard, nil
}

// Check tells what is wrong with a case.
func (c CWCase) Check() error {
	switch {
	case !(c.WPM >= cw.SlowestWPM && c.WPM <= cw.FastestWPM):
		return fmt.Errorf("%g words a minute are not within %g and %g", c.WPM, cw.SlowestWPM, cw.FastestWPM)
	case c.StepWPM != 0 && !(c.StepWPM >= cw.SlowestWPM && c.StepWPM <= cw.FastestWPM):
		return fmt.Errorf("%g words a minute are not within %g and %g", c.StepWPM, cw.SlowestWPM, cw.FastestWPM)
	case !(math.Abs(c.BesideHz) <= 1000):
		return fmt.Errorf("%g Hz are not within 1000", c.BesideHz)
	case !(c.Signals >= 0 && c.Signals <= 30):
		return fmt.Errorf("%d signals are not within 1 and 30", c.Signals)
	}
	return nil
}
