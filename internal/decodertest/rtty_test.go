package decodertest

import (
	"strings"
	"testing"

	"ionoscribe/rtty"
	"ionoscribe/samples"
)

// A short message at 100 Bd, and a long one, both in noise.
func TestRTTY(t *testing.T) {
	const rate = 8000
	send := func(text string, snr float64) []float32 {
		s, err := samples.NewRTTY(samples.RTTYConfig{Text: text, SampleRate: rate, Baud: 100, CentreHz: 1500})
		if err != nil {
			t.Fatal(err)
		}
		return noisy(t, s, s.Power(), snr)
	}
	Contract{
		New: func(heard func(Event)) Decoder {
			d, err := rtty.New(rtty.Config{SampleRate: rate}, rtty.Events{
				Char: func(c rtty.Char) { heard(Event{c.At, digest(string(c.Rune), float64(c.Code), c.Confidence)}) },
				State: func(s rtty.State) {
					heard(Event{s.At, digest("", s.CentreHz, s.ShiftHz, s.Baud, s.SNR, float64(s.Polarity), float64(s.Alphabet))})
				},
			})
			if err != nil {
				t.Fatal(err)
			}
			return d
		},
		Signal:   send("GALE WARNING 54 N 9 W, WIND 9", 3),
		Lasting:  send(strings.Repeat("GALE WARNING SEA AREA 7 WIND 9 ", 60), 0),
		IdleWarm: 10 * rate, ReceivingWarm: 30 * rate, Measured: 40 * rate,
	}.Run(t)
}
