package modeb_test

import (
	"testing"

	"ionoscribe/internal/decodertest"
	"ionoscribe/rtty/modeb"
	"ionoscribe/samples"
)

// BenchmarkDecoder receives ten minutes at 12 kHz.
func BenchmarkDecoder(b *testing.B) {
	x := sent(b, samples.ModeBConfig{Text: groups(4000, 1)}, noise(0, 1))
	d, err := modeb.New(modeb.Config{SampleRate: rate}, modeb.Events{})
	must(b, err)
	for b.Loop() {
		for y := x; len(y) > 0; y = y[min(len(y), 4096):] {
			d.Write(y[:min(len(y), 4096)])
		}
		d.Flush()
	}
	b.ReportMetric(float64(len(x))/rate*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}

func BenchmarkInputs(b *testing.B) {
	decodertest.BenchmarkInputs(b, func(rate float64) (decodertest.Decoder, error) {
		return modeb.New(modeb.Config{SampleRate: rate}, modeb.Events{})
	})
}
