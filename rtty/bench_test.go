package rtty_test

import (
	"strings"
	"testing"

	"ionoscribe/demod"
	"ionoscribe/internal/decodertest"
	"ionoscribe/rtty"
	"ionoscribe/samples"
)

// noisy sends text 3 dB above the noise in 2500 Hz.
func noisy(tb testing.TB, c samples.RTTYConfig) []float32 {
	tb.Helper()
	s, err := samples.NewRTTY(c)
	if err != nil {
		tb.Fatal(err)
	}
	return read(tb, s, s.Power(), 3)
}

func read(tb testing.TB, src demod.SampleReader, power, snr float64) []float32 {
	tb.Helper()
	n, err := samples.NewNoise(src, samples.NoiseConfig{SNRdB: snr, SignalPower: power, Seed: 1})
	if err != nil {
		tb.Fatal(err)
	}
	x, err := samples.ReadAll(n)
	if err != nil {
		tb.Fatal(err)
	}
	return x
}

// A minute at a time: while a signal is received, and while nothing is there or something that is none.
func BenchmarkDecoder(b *testing.B) {
	const rate, seconds = 12000, 60
	locked := noisy(b, samples.RTTYConfig{SampleRate: rate, Text: strings.Repeat("THE QUICK BROWN FOX 1234567890 ", 13)})
	speech, err := samples.NewSpeech(rate, 0.05, 1)
	if err != nil {
		b.Fatal(err)
	}
	for name, x := range map[string][]float32{
		"locked": locked[:seconds*rate],
		"noise":  read(b, samples.Silence(rate, seconds), 0.05, 3),
		"speech": read(b, samples.NewLimit(speech, seconds), 0.05, 20),
	} {
		b.Run(name, func(b *testing.B) {
			d, err := rtty.New(rtty.Config{SampleRate: rate}, rtty.Events{})
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				for x := x; len(x) > 0; x = x[min(len(x), 4096):] {
					d.Write(x[:min(len(x), 4096)])
				}
			}
			b.ReportMetric(seconds*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
		})
	}
}

// Fifty decoders in one process, each of them receiving.
func BenchmarkFifty(b *testing.B) {
	const rate, seconds, count = 12000, 60, 50
	x := noisy(b, samples.RTTYConfig{SampleRate: rate, Text: strings.Repeat("THE QUICK BROWN FOX 1234567890 ", 13)})[:seconds*rate]
	var decoders []*rtty.Decoder
	for range count {
		d, err := rtty.New(rtty.Config{SampleRate: rate}, rtty.Events{})
		if err != nil {
			b.Fatal(err)
		}
		decoders = append(decoders, d)
	}
	for b.Loop() {
		for x := x; len(x) > 0; x = x[min(len(x), 4096):] {
			for _, d := range decoders {
				d.Write(x[:min(len(x), 4096)])
			}
		}
	}
	b.ReportMetric(seconds*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}

// Any kind of input. Goal: 100 times real time for each.
func BenchmarkInputs(b *testing.B) {
	decodertest.BenchmarkInputs(b, func(rate float64) (decodertest.Decoder, error) {
		return rtty.New(rtty.Config{SampleRate: rate}, rtty.Events{})
	})
}
