package cw_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/demod"
	"ionoscribe/samples"
)

// tune is music of a kind: chords of decaying tones with harmonics, by notes of random lengths.
func tune(rate float64, seconds float64, seed uint64) []float32 {
	rng := rand.New(rand.NewPCG(seed, 5))
	x := make([]float32, int(rate*seconds))
	for voice := range 3 {
		for at := 0; at < len(x); {
			length := int(rate * []float64{0.125, 0.25, 0.25, 0.5, 1}[rng.IntN(5)])
			hz := 220 * math.Pow(2, float64(rng.IntN(25)+7*voice)/12)
			for i := at; i < min(at+length, len(x)); i++ {
				t := float64(i-at) / rate
				for k := 1.0; k <= 4; k++ {
					x[i] += float32(0.1 / k * math.Exp(-3*t) * math.Sin(2*math.Pi*hz*k*t))
				}
			}
			at += length
		}
	}
	return x
}

var long = flag.Bool("long", false, "listen to ten minutes of what is no Morse, each")

// What is no Morse prints next to nothing. Ten minutes of each: go test -v -run Nothing -timeout 1h ./cw -long
func TestNothingFromOthers(t *testing.T) {
	const rate = 8000
	seconds := 15.0
	if *long {
		seconds = 600
	}
	text := strings.Repeat("RYRYRY GALE WARNING 1234567890 SEA AREA SOUTH ", 4*int(seconds))
	printed := func(name string, x []float32) {
		for _, signals := range []int{1, 4} {
			var b strings.Builder
			d, err := cw.New(cw.Config{SampleRate: rate, Signals: signals}, cw.Events{Char: func(c cw.Char) { b.WriteString(c.Text) }})
			if err != nil {
				t.Fatal(err)
			}
			d.Write(x)
			d.Flush()
			t.Logf("%s, %d signals, %.0f s: %d characters %.200q", name, signals, float64(len(x))/rate, b.Len(), b.String())
			if b.Len() > 1 {
				t.Errorf("%s prints %q", name, b.String())
			}
		}
	}
	read := func(src demod.SampleReader, err error) []float32 {
		if err != nil {
			t.Fatal(err)
		}
		x, err := samples.ReadAll(samples.NewLimit(src, seconds))
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	noisy := func(src demod.SampleReader, power, snr float64) (demod.SampleReader, error) {
		return samples.NewNoise(src, samples.NoiseConfig{SNRdB: snr, SignalPower: power, Seed: 1})
	}
	printed("noise", read(noisy(samples.Silence(rate, seconds), 0.5, 0)))
	for _, snr := range []float64{20} {
		speech, err := samples.NewSpeech(rate, 0.05, 2)
		if err != nil {
			t.Fatal(err)
		}
		printed("speech", read(noisy(speech, 0.05, snr)))
		for _, baud := range []float64{50, 75} {
			tty, err := samples.NewRTTY(samples.RTTYConfig{Text: text, SampleRate: rate, Baud: baud})
			if err != nil {
				t.Fatal(err)
			}
			printed("teleprinter", read(noisy(tty, tty.Power(), snr)))
		}
	}
	printed("music", tune(rate, seconds, 1))
}
