package cw_test

import (
	"fmt"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/demod"
	"ionoscribe/internal/decodertest"
	"ionoscribe/samples"
)

func BenchmarkDecoder(b *testing.B) {
	for _, c := range []cw.Config{{Signals: 1}, {Signals: 20}, {Signals: 1, PlainLanguage: true}} {
		signals, name := c.Signals, fmt.Sprint(c.Signals)
		if c.PlainLanguage {
			name += ", plain language"
		}
		b.Run(name, func(b *testing.B) {
			var src demod.SampleReader
			for i := range signals {
				s, err := samples.NewCW(samples.CWConfig{Text: groups(600, uint64(i)), WPM: 20, PitchHz: 300 + 155*float64(i), Amplitude: 0.04, SampleRate: testRate})
				if err != nil {
					b.Fatal(err)
				}
				if src == nil {
					src = s
				} else if src, err = samples.NewMix(src, s, 1); err != nil {
					b.Fatal(err)
				}
			}
			noisy, err := samples.NewNoise(src, samples.NoiseConfig{SNRdB: 6, SignalPower: 0.0008})
			if err != nil {
				b.Fatal(err)
			}
			x := read(b, noisy)
			c.SampleRate = testRate
			d, err := cw.New(c, cw.Events{})
			if err != nil {
				b.Fatal(err)
			}
			d.Write(x[:60*testRate])
			x = x[60*testRate:]
			x = x[:100*testRate]
			b.ReportAllocs()
			for b.Loop() {
				d.Write(x)
			}
			b.ReportMetric(100*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
		})
	}
}

// Any kind of input, while one signal is wanted and while all are. Goal: 100 times real time for each.
func BenchmarkInputs(b *testing.B) {
	for _, signals := range []int{1, cw.MaxSignals} {
		b.Run(fmt.Sprint(signals), func(b *testing.B) {
			decodertest.BenchmarkInputs(b, func(rate float64) (decodertest.Decoder, error) {
				return cw.New(cw.Config{SampleRate: rate, Signals: signals}, cw.Events{})
			})
		})
	}
}
