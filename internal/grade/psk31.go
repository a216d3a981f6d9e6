package grade

import (
	"fmt"
	"math"
	"math/rand/v2"

	"ionoscribe/demod"
	"ionoscribe/internal/theory"
	"ionoscribe/psk"
	"ionoscribe/samples"
)

// PSK31Case says how the phase telegraphy of a trial is sent.
type PSK31Case struct {
	DriftHzPerSecond float64
	// Signals is how many are sent at once, 60 Hz apart; all are received, and that in the middle is graded. Zero: one.
	Signals int
	QPSK    bool // four phases, on either sideband
}

// The pitch of a trial is anywhere between these, in Hz, or in the middle if there are other signals.
const (
	pskLowest, pskHighest = 500, 2500
	pskMiddle             = 1900
	pskApart              = 60 // from one to the next of many signals
)

// PSK31 is phase telegraphy of two phases as a mode that sends text: plain language in small letters, no pitch ordered.
func PSK31(c PSK31Case) TextMode {
	return TextMode{
		Name: "psk31", Title: "phase telegraphy (PSK31)", SampleRate: samples.DefaultSampleRate,
		Message: sentences, Send: c.send, Receive: c.receive,
		Theory: c.theory,
	}
}

func (c PSK31Case) theory(channel *samples.Channel) []theory.Curve {
	switch {
	case !c.QPSK:
		return theory.PSK31Curves(channel)
	case channel == nil:
		return theory.PSK31FourCurves()
	}
	return nil
}

func (c PSK31Case) send(message string, rng *rand.Rand) (TextSignal, error) {
	config := samples.PSK31Config{Text: message, PitchHz: pskLowest + (pskHighest-pskLowest)*rng.Float64(), DriftHzPerSecond: c.DriftHzPerSecond}
	if c.QPSK {
		config.QPSK, config.Inverted = true, rng.IntN(2) == 0
	}
	if c.Signals > 1 {
		config.PitchHz, config.Amplitude = pskMiddle, 0.02
	}
	s, err := samples.NewPSK31(config)
	if err != nil {
		return TextSignal{}, err
	}
	signal := TextSignal{Source: s, Power: s.Power(), Start: samples.DefaultPSK31IdleSeconds}
	for i := 1; i < c.Signals; i++ {
		// One above, one below, and so on.
		other := config
		other.PitchHz += pskApart * float64((i+1)/2) * (1 - 2*float64(i%2))
		other.Text = sentences(rng, 2*len(message))
		o, err := samples.NewPSK31(other)
		if err != nil {
			return signal, err
		}
		if signal.Source, err = samples.NewMix(signal.Source, o, 1); err != nil {
			return signal, err
		}
	}
	return signal, nil
}

func (c PSK31Case) receive(src demod.SampleReader) (heard []HeardChar, err error) {
	order := psk.Config{QPSK: c.QPSK}
	if c.Signals > 1 {
		order.Signals = psk.MaxSignals
	}
	for ch, err := range psk.All(src, order) {
		if err != nil {
			return heard, err
		}
		if c.Signals > 1 && math.Abs(ch.PitchHz-pskMiddle) > pskApart/4 {
			continue
		}
		heard = append(heard, HeardChar{ch.Rune, float64(ch.At) / src.SampleRate(), ch.Confidence})
	}
	return heard, nil
}

// Check tells what is wrong with a case.
func (c PSK31Case) Check() error {
	switch {
	case !(math.Abs(c.DriftHzPerSecond) <= 2):
		return fmt.Errorf("a drift of %g Hz a second is not within ±2", c.DriftHzPerSecond)
	case !(c.Signals >= 0 && c.Signals <= psk.MaxSignals):
		return fmt.Errorf("%d signals are not within 1 and %d", c.Signals, psk.MaxSignals)
	}
	return nil
}
