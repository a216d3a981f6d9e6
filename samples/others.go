package samples

import (
	"errors"
	"io"
	"math/rand/v2"
	"strings"

	"ionoscribe/demod"
)

// TeleprinterAt makes a teleprinter for an [Interferer]: random groups at the usual speed and shift, without end, its
// two tones around a frequency in Hz.
func TeleprinterAt(hz float64) func(rate float64, seed uint64) (Signal, error) {
	return TeleprinterLike(RTTYConfig{CentreHz: hz, Diddle: true})
}

// TeleprinterLike makes a teleprinter for an [Interferer]: random groups without end, sent as c says but for its text,
// rate, amplitude and seed.
func TeleprinterLike(c RTTYConfig) func(rate float64, seed uint64) (Signal, error) {
	return func(rate float64, seed uint64) (Signal, error) {
		return newEndless(seed, func(text string, seed uint64) (Signal, error) {
			c := c
			c.Text, c.SampleRate, c.Amplitude, c.Seed = text, rate, 1, seed
			return NewRTTY(c)
		})
	}
}

// MorseAt makes Morse for an [Interferer]: random groups at the usual speed, without end, on a frequency in Hz. Its
// power is that of the key down.
func MorseAt(hz float64) func(rate float64, seed uint64) (Signal, error) {
	return MorseLike(CWConfig{PitchHz: hz})
}

// MorseLike makes Morse for an [Interferer]: random groups without end, sent as c says but for its text, rate,
// amplitude and seed. Its power is that of the key down.
func MorseLike(c CWConfig) func(rate float64, seed uint64) (Signal, error) {
	return func(rate float64, seed uint64) (Signal, error) {
		return newEndless(seed, func(text string, seed uint64) (Signal, error) {
			c := c
			c.Text, c.SampleRate, c.Amplitude, c.Seed = text, rate, 1, seed
			return NewCW(c)
		})
	}
}

// endless sends message after message.
type endless struct {
	rng  *rand.Rand
	send func(text string, seed uint64) (Signal, error)
	now  Signal
}

func newEndless(seed uint64, send func(text string, seed uint64) (Signal, error)) (*endless, error) {
	e := &endless{rng: rand.New(rand.NewPCG(seed, 0x67726f757073)), send: send}
	return e, e.next()
}

// next begins a message of a hundred groups of five letters.
func (e *endless) next() (err error) {
	var text strings.Builder
	for range 100 {
		for range 5 {
			text.WriteByte(byte('A' + e.rng.IntN(26)))
		}
		text.WriteByte(' ')
	}
	e.now, err = e.send(text.String(), e.rng.Uint64())
	return err
}

func (e *endless) SampleRate() float64 { return e.now.SampleRate() }
func (e *endless) Power() float64      { return e.now.Power() }

func (e *endless) ReadSamples(dst []float32) (int, error) {
	n, err := e.now.ReadSamples(dst)
	if n > 0 || !errors.Is(err, io.EOF) {
		return n, err
	}
	return 0, e.next()
}

var _ demod.SampleReader = (*endless)(nil)
