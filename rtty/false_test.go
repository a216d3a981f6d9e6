package rtty_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"

	"ionoscribe/demod"
	"ionoscribe/internal/decodertest"
	"ionoscribe/rtty"
	"ionoscribe/samples"
)

var long = flag.Bool("long", false, "long trials: ten minutes of what is no radioteletype, an hour of garbage")

// longer is n, or m with -long.
func longer(n, m int) int {
	if *long {
		return m
	}
	return n
}

// What is no radioteletype prints at most a character in ten minutes.
func TestNothingFromOthers(t *testing.T) {
	const rate = 8000
	seconds := longer(30, 600)
	speech, err := samples.NewSpeech(rate, 0.05, 2)
	if err != nil {
		t.Fatal(err)
	}
	morse, err := samples.NewCW(samples.CWConfig{Text: strings.Repeat("GALE WARNING 1234567890 ", seconds/6), SampleRate: rate})
	if err != nil {
		t.Fatal(err)
	}
	carrier, err := samples.NewCarrier(rate, 1700, 0.3)
	if err != nil {
		t.Fatal(err)
	}
	limit := func(src demod.SampleReader) demod.SampleReader { return samples.NewLimit(src, float64(seconds)) }
	sounds := map[string][]float32{
		"noise":   read(t, samples.Silence(rate, float64(seconds)), 0.05, 20),
		"speech":  read(t, limit(speech), 0.05, 20),
		"morse":   read(t, limit(morse), 0.05, 20),
		"carrier": read(t, limit(carrier), 0.05, 20),
	}
	rng := rand.New(rand.NewPCG(1, 1))
	for _, beats := range []float64{73, 100, 120, 140, 180} {
		tuning := 261.63 * math.Pow(2, rng.Float64()-0.5)
		sounds["music"] = append(sounds["music"], decodertest.Music(rng, rate, float64(seconds)/5, beats, tuning)...)
	}
	for name, x := range sounds {
		t.Run(name, func(t *testing.T) {
			if text, _ := hear(t, x, rtty.Config{SampleRate: rate}); len(text) > 1 {
				t.Errorf("%q", text)
			}
		})
	}
}

// Garbage neither fills the memory nor keeps the decoder from what comes after it.
func TestGarbage(t *testing.T) {
	const rate = 8000
	printed := 0
	var after strings.Builder
	listening := false
	d, err := rtty.New(rtty.Config{SampleRate: rate}, rtty.Events{Char: func(c rtty.Char) {
		printed++
		if listening {
			after.WriteRune(c.Rune)
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(2, 2))
	heap := func() int64 {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		return int64(m.HeapAlloc)
	}
	block := make([]float32, rate)
	var before int64
	for second := range longer(120, 3600) {
		kind := rng.IntN(4)
		level := math.Pow(10, 40*rng.Float64()-20)
		for i := range block {
			switch kind {
			case 0: // any bits: NaN, infinities, numbers of any size
				block[i] = math.Float32frombits(rng.Uint32())
			case 1: // clipped noise of any level
				block[i] = float32(min(max(level*rng.NormFloat64(), -1), 1))
			case 2: // square waves
				block[i] = float32(level) * float32(1-2*(i/(3+second%50)&1))
			case 3: // clicks
				block[i] = 0
				if rng.IntN(500) == 0 {
					block[i] = float32(level)
				}
			}
		}
		d.Write(block)
		if second == 60 {
			before = heap()
		}
	}
	if grown := heap() - before; grown > 64<<10 {
		t.Errorf("the decoder has grown by %d bytes", grown)
	}
	t.Logf("%d characters printed", printed)
	listening = true
	d.Write(noisy(t, samples.RTTYConfig{SampleRate: rate, Text: message, LeadSeconds: 5, TrailSeconds: 3}))
	d.Flush()
	if !strings.HasSuffix(after.String(), message) {
		t.Errorf("after garbage: %q", after.String())
	}
}
