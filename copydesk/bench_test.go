package copydesk_test

import (
	"io"
	"testing"

	"ionoscribe/copydesk"
	"ionoscribe/internal/band"
)

// A busy band of 96 kHz: ten Morse, three teleprinters and a fax.
func BenchmarkDesk(b *testing.B) {
	const seconds = 90
	plan, err := band.New(band.Config{SampleRate: 96000, Seconds: seconds, Count: map[string]int{"cw": 10, "rtty": 3, "fax": 1}, LowestSNR: 10, HighestSNR: 25, Seed: 1})
	if err != nil {
		b.Fatal(err)
	}
	scene, err := plan.Scene()
	if err != nil {
		b.Fatal(err)
	}
	var z []complex64
	block := make([]complex64, 4096)
	for err != io.EOF {
		var n int
		n, err = scene.ReadIQ(block)
		z = append(z, block[:n]...)
	}
	for b.Loop() {
		d, err := copydesk.New(copydesk.Config{SampleRate: 96000, IQ: true}, new(copydesk.Stream))
		if err != nil {
			b.Fatal(err)
		}
		d.WriteIQ(z)
		d.Flush()
	}
	b.ReportMetric(seconds*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}
