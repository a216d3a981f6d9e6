package psk_test

import (
	"strings"
	"testing"

	"ionoscribe/internal/decodertest"
	"ionoscribe/psk"
	"ionoscribe/samples"
)

// BenchmarkDecoder receives ten minutes at 12 kHz.
func BenchmarkDecoder(b *testing.B) {
	x := sent(b, samples.PSK31Config{Text: strings.Repeat(line, 40)}, 0, 1)
	d, err := psk.New(psk.Config{SampleRate: rate}, psk.Events{})
	if err != nil {
		b.Fatal(err)
	}
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
		return psk.New(psk.Config{SampleRate: rate}, psk.Events{})
	})
}
