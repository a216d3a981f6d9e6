package fax_test

import (
	"testing"

	"ionoscribe/fax"
	"ionoscribe/internal/decodertest"
	"ionoscribe/samples"
)

// A ten-minute chart from the start tone to the stop tone at 10 dB SNR, decoded and drawn. Goals, on one core: 1500, 300
// and 600 times real time.
func BenchmarkDecoder(b *testing.B) {
	for _, c := range []struct {
		name  string
		rate  float64
		plain bool
	}{{"12kHz/plain", 12000, true}, {"12kHz/restored", 12000, false}, {"48kHz/plain", 48000, true}} {
		b.Run(c.name, func(b *testing.B) {
			x, _ := trial{FaxConfig: samples.FaxConfig{Picture: picture(576, 1200, 1), SampleRate: c.rate}, snr: 10, ppm: 30}.audio(b)
			b.ReportAllocs()
			b.ResetTimer()
			for b.Loop() {
				if n := len(hear(b, fax.Config{SampleRate: c.rate, Plain: c.plain}, x)); n != 1 {
					b.Fatalf("%d charts", n)
				}
			}
			b.ReportMetric(float64(len(x))/c.rate*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
		})
	}
}

// An idle decoder.
func BenchmarkIdle(b *testing.B) {
	const rate = 12000
	x := quiet(60*rate/endRate, 1)
	d, err := fax.New(fax.Config{SampleRate: rate}, fax.Events{})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		d.Write(x)
	}
	b.ReportMetric(float64(len(x))/rate*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}

// Any kind of input; the charts that are found in it are drawn and restored. Goal: 100 times real time for each.
func BenchmarkInputs(b *testing.B) {
	decodertest.BenchmarkInputs(b, func(rate float64) (decodertest.Decoder, error) {
		return fax.New(fax.Config{SampleRate: rate}, fax.Events{Chart: func(*fax.Chart) {}})
	})
}
