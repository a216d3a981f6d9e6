package demod

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

func BenchmarkBaseband(b *testing.B) {
	for _, rate := range []float64{12000, 12345.678, 44100, 48000, 192000} {
		b.Run(fmt.Sprint(rate), func(b *testing.B) {
			d, err := NewBaseband(BasebandConfig{SampleRate: rate, OutputRate: 3600, CentreHz: 1900, PassHz: 1400})
			if err != nil {
				b.Fatal(err)
			}
			block := noise(1024)
			dst := make([]complex64, 0, 1024)
			for b.Loop() {
				dst = d.Append(dst[:0], block)
			}
			reportRate(b, rate, len(block))
		})
	}
}

// reportRate gives the time a sample and how many times faster than real time the loop ran; n samples a turn.
func reportRate(b *testing.B, rate float64, n int) {
	s := b.Elapsed().Seconds() / float64(b.N) / float64(n)
	b.ReportMetric(s*1e9, "ns/sample")
	b.ReportMetric(1/(s*rate), "x-realtime")
}

func noise(n int) []float32 {
	r := rand.New(rand.NewPCG(1, 2))
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(r.NormFloat64()) / 4
	}
	return x
}
