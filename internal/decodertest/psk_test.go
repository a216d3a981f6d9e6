package decodertest

import (
	"strings"
	"testing"

	"ionoscribe/psk"
	"ionoscribe/samples"
)

// A short message and a long one, both in noise.
func TestPSK(t *testing.T) {
	const rate = 8000
	send := func(text string, snr float64) []float32 {
		s, err := samples.NewPSK31(samples.PSK31Config{Text: text, SampleRate: rate, PitchHz: 1500})
		if err != nil {
			t.Fatal(err)
		}
		n, err := samples.NewNoise(s, samples.NoiseConfig{SNRdB: snr, SignalPower: s.Power(), Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		x, err := samples.ReadAll(n)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	Contract{
		New: func(heard func(Event)) Decoder {
			d, err := psk.New(psk.Config{SampleRate: rate, Signals: 2}, psk.Events{
				Char:  func(c psk.Char) { heard(Event{c.At, digest(string(c.Rune), float64(c.Signal), c.Confidence)}) },
				State: func(s psk.State) { heard(Event{s.At, digest("", s.PitchHz, s.SNR, float64(s.Signal))}) },
			})
			if err != nil {
				t.Fatal(err)
			}
			return d
		},
		Signal:   send("gale warning 54 n 9 w, wind 9", 3),
		Lasting:  send(strings.Repeat("gale warning sea area 7 wind 9 ", 24), 0),
		IdleWarm: 10 * rate, ReceivingWarm: 30 * rate, Measured: 40 * rate,
	}.Run(t)
}
