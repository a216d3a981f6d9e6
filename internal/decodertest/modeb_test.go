package decodertest

import (
	"strings"
	"testing"

	"ionoscribe/rtty/modeb"
	"ionoscribe/samples"
)

// A short message and a long one, both in noise.
func TestModeB(t *testing.T) {
	const rate = 8000
	send := func(text string, snr float64) []float32 {
		s, err := samples.NewModeB(samples.ModeBConfig{Text: text, KeyedConfig: samples.KeyedConfig{SampleRate: rate, CentreHz: 1500}})
		if err != nil {
			t.Fatal(err)
		}
		return noisy(t, s, s.Power(), snr)
	}
	Contract{
		New: func(heard func(Event)) Decoder {
			d, err := modeb.New(modeb.Config{SampleRate: rate}, modeb.Events{
				Char:  func(c modeb.Char) { heard(Event{c.At, digest(string(c.Rune), float64(c.Code), c.Confidence)}) },
				State: func(s modeb.State) { heard(Event{s.At, digest("", s.CentreHz, s.ShiftHz, s.SNR)}) },
			})
			if err != nil {
				t.Fatal(err)
			}
			return d
		},
		Signal:   send("GALE WARNING 54 N 9 W, WIND 9", 3),
		Lasting:  send(strings.Repeat("GALE WARNING SEA AREA 7 WIND 9 ", 28), 0),
		IdleWarm: 10 * rate, ReceivingWarm: 30 * rate, Measured: 40 * rate,
	}.Run(t)
}
