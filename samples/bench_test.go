package samples

import (
	"fmt"
	"image"
	"testing"

	"ionoscribe/demod"
)

// drain reads a minute of signal from each source that build makes.
func drain(b *testing.B, rate float64, build func() demod.SampleReader) {
	buf := make([]float32, 1024)
	left := 0
	var src demod.SampleReader
	b.ReportAllocs()
	for b.Loop() {
		src = build()
		for left = int(60 * rate); left > 0; {
			n, err := src.ReadSamples(buf)
			if err != nil {
				b.Fatal(err)
			}
			left -= n
		}
	}
	b.ReportMetric(60*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}

func BenchmarkFax(b *testing.B) {
	fine := image.NewGray(image.Rect(0, 0, 1810, 120))
	for i := range fine.Pix {
		fine.Pix[i] = uint8(i * 37)
	}
	for _, rate := range rates {
		for name, m := range map[string]image.Image{"blank": plain(1810, 120, 255), "fine": fine} {
			b.Run(fmt.Sprintf("%s/%.0f", name, rate), func(b *testing.B) {
				drain(b, rate, func() demod.SampleReader {
					return mustFax(b, only(FaxConfig{Picture: m, SampleRate: rate}))
				})
			})
		}
	}
}

func BenchmarkNoise(b *testing.B) {
	drain(b, 12000, func() demod.SampleReader {
		n, _ := NewNoise(Silence(12000, 60), NoiseConfig{SignalPower: 1})
		return n
	})
}

func BenchmarkClockError(b *testing.B) {
	drain(b, 12000, func() demod.SampleReader {
		c, _ := NewClockError(Silence(12000, 61), 50)
		return c
	})
}

func BenchmarkChain(b *testing.B) {
	m := plain(1810, 130, 200)
	drain(b, 12000, func() demod.SampleReader {
		c, _ := NewClockError(mustFax(b, only(FaxConfig{Picture: m})), 50)
		n, _ := NewNoise(c, NoiseConfig{SNRdB: 10, SignalPower: 0.25 * 0.25 / 2})
		return n
	})
}

func BenchmarkFading(b *testing.B) {
	for _, rate := range rates {
		b.Run(fmt.Sprintf("%.0f", rate), func(b *testing.B) {
			drain(b, rate, func() demod.SampleReader {
				f, _ := NewFading(Silence(rate, 60), FadingConfig{DelaySeconds: 2e-3, SpreadHz: 1})
				return f
			})
		})
	}
}
