package audio

import (
	"bytes"
	"io"
	"math/rand/v2"
	"testing"
)

const (
	benchSeconds = 60
	benchBlock   = 1024 // samples
)

func realtime(b *testing.B) {
	b.ReportMetric(benchSeconds*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}

// benchSignal is a tone in noise 20 dB below it, so that FLAC has something to predict and something not.
func benchSignal(rate, n int) []float32 {
	x, r := tone(1900, float64(rate), n), rand.New(rand.NewPCG(1, 2))
	for i := range x {
		x[i] += 0.035 * float32(r.NormFloat64())
	}
	return x
}

type benchWAV struct {
	name                      string
	tag, channels, rate, bits int
}

var benchWAVs = []benchWAV{
	{"16-bit 12 kHz", 1, 1, 12000, 16},
	{"16-bit 48 kHz", 1, 1, 48000, 16},
	{"16-bit 48 kHz stereo", 1, 2, 48000, 16},
	{"24-bit 48 kHz", 1, 1, 48000, 24},
	{"float 48 kHz", 3, 1, 48000, 32},
}

func (c benchWAV) file() []byte {
	return riff("RIFF", format(c.tag, c.channels, c.rate, c.bits),
		chunk{id: "data", body: make([]byte, benchSeconds*c.rate*c.channels*c.bits/8)})
}

func benchRead(b *testing.B, file []byte, want int) {
	buf := make([]float32, benchBlock)
	b.ReportAllocs()
	for b.Loop() {
		src, err := Open("-", Options{Stdin: bytes.NewReader(file)})
		if err != nil {
			b.Fatal(err)
		}
		total := 0
		for err == nil {
			var n int
			n, err = src.ReadSamples(buf)
			total += n
		}
		if err != io.EOF || total != want {
			b.Fatal(err, total)
		}
	}
	realtime(b)
}

func BenchmarkWAV(b *testing.B) {
	for _, c := range benchWAVs {
		b.Run(c.name, func(b *testing.B) { benchRead(b, c.file(), benchSeconds*c.rate) })
	}
}

func BenchmarkFLAC(b *testing.B) {
	for _, c := range []struct {
		name string
		rate int
		bits uint8
	}{{"16-bit 12 kHz", 12000, 16}, {"16-bit 48 kHz", 48000, 16}, {"24-bit 48 kHz", 48000, 24}} {
		b.Run(c.name, func(b *testing.B) {
			n := (benchSeconds*c.rate + 4095) / 4096 * 4096
			benchRead(b, encodeFLAC(b, uint32(c.rate), c.bits, benchSignal(c.rate, n)), n)
		})
	}
}

func BenchmarkWrite(b *testing.B) {
	x := benchSignal(48000, benchSeconds*48000)
	for _, enc := range []Encoding{S16, F32} {
		b.Run(string(enc)+" 48 kHz", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				w, err := NewWAVWriter(io.Discard, 48000, enc)
				if err != nil {
					b.Fatal(err)
				}
				for i := 0; i < len(x); i += benchBlock {
					w.WriteSamples(x[i:min(i+benchBlock, len(x))])
				}
				w.Close()
			}
			realtime(b)
		})
	}
}
