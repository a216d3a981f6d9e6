package demod

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

func BenchmarkBaseband(b *testing.B) {
	for _, rate := range []float64{12000, 12345.678, 44100, 48000, 192000} {
		b.Run(fmt.Sprint(rate), func(b *testing.B) {
			d := fax(b, rate)
			block := noise(1024)
			dst := make([]complex64, 0, 1024)
			b.ReportAllocs()
			for b.Loop() {
				dst = d.Append(dst[:0], block)
			}
			reportRate(b, rate, len(block))
		})
	}
}

// BenchmarkNewBaseband is the time to make the tables, which equal instances then share.
func BenchmarkNewBaseband(b *testing.B) {
	hz := 1900.0
	for b.Loop() {
		hz += 1e-6 // never the same
		if _, err := NewBaseband(BasebandConfig{SampleRate: 12345.678, OutputRate: 3600, CentreHz: hz, PassHz: 1400}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPhase(b *testing.B) {
	z := gaussian(1024, 0, func(int) bool { return false })
	var sum float32
	for b.Loop() {
		for _, v := range z {
			sum += Phase(v)
		}
	}
	reportRate(b, 3600, len(z))
	_ = sum
}

func BenchmarkComplexFIR(b *testing.B) {
	z := gaussian(1024, 0, func(int) bool { return false })
	f := NewComplexFIR(Lowpass(3600, 400, 700, 50))
	for b.Loop() {
		f.Filter(z, z)
	}
	reportRate(b, 3600, len(z))
}

func BenchmarkMix(b *testing.B) {
	z := gaussian(1024, 0, func(int) bool { return false })
	o := NewOscillator(3600, 440)
	for b.Loop() {
		o.Mix(z, z)
	}
	reportRate(b, 3600, len(z))
}

// reportRate gives the time a sample and how many times faster than real time the loop ran; n samples a turn.
func reportRate(b *testing.B, rate float64, n int) {
	s := b.Elapsed().Seconds() / float64(b.N) / float64(n)
	b.ReportMetric(s*1e9, "ns/sample")
	b.ReportMetric(1/(s*rate), "x-realtime")
}

// noise is white Gaussian noise of rms value 1/4.
func noise(n int) []float32 {
	r := rand.New(rand.NewPCG(1, 2))
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(r.NormFloat64()) / 4
	}
	return x
}
