package cw_test

import (
	"flag"
	"fmt"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"unicode/utf8"

	"ionoscribe/cw"
	"ionoscribe/demod"
	"ionoscribe/internal/decodertest"
	"ionoscribe/samples"
)

// bells are another music than decodertest's: three voices of decaying tones with harmonics, by notes of random lengths
// that are nearly those of Morse.
func bells(rng *rand.Rand, rate, seconds float64) []float32 {
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

var long = flag.Bool("long", false, "listen to ten minutes of what is no Morse, each, and to more music")

var seed = flag.Uint64("seed", 1, "of the music")

const otherRate = 8000

// others are what is no Morse, by name.
func others(t *testing.T, seconds float64) map[string][]float32 {
	const rate = otherRate
	text := strings.Repeat("RYRYRY GALE WARNING 1234567890 SEA AREA SOUTH ", 1+int(seconds/4))
	noisy := func(src demod.SampleReader, power, snr float64) []float32 {
		n, err := samples.NewNoise(samples.NewLimit(src, seconds), samples.NoiseConfig{SNRdB: snr, SignalPower: power, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		return read(t, n)
	}
	x := map[string][]float32{"noise": noisy(samples.Silence(rate, seconds), 0.5, 0)}
	speech, err := samples.NewSpeech(rate, 0.05, 2)
	if err != nil {
		t.Fatal(err)
	}
	x["speech"] = noisy(speech, 0.05, 20)
	for _, baud := range []float64{50, 75} {
		tty, err := samples.NewRTTY(samples.RTTYConfig{Text: text, SampleRate: rate, Baud: baud})
		if err != nil {
			t.Fatal(err)
		}
		x[fmt.Sprint("teleprinter ", baud)] = noisy(tty, tty.Power(), 20)
	}
	chart, err := samples.NewFax(samples.FaxConfig{SampleRate: rate, Picture: drawing(samples.Columns(576), int(2*seconds)), StartSeconds: 2, PhasingSeconds: 3})
	if err != nil {
		t.Fatal(err)
	}
	x["radiofax"] = noisy(chart, chart.Power(), 20)
	return x
}

// drawing is a chart of a kind: contours, meridians and a text.
func drawing(w, h int) image.Image {
	m := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			u, v := float64(x)/200, float64(y)/150
			height := 4 * (math.Sin(u) + math.Cos(1.3*v+0.4*u))
			white := math.Abs(height-math.Round(height)) > 0.05 && x%300 > 2 && y%300 > 2 && !(x > 1400 && y%60 > 40 && (x/7*31+y/60*17)%5 < 2)
			if white {
				m.SetGray(x, y, color.Gray{Y: 255})
			}
		}
	}
	return m
}

// heardIn is what is printed of what is no Morse.
func heardIn(t *testing.T, x []float32, signals int) string {
	var b strings.Builder
	d, err := cw.New(cw.Config{SampleRate: otherRate, Signals: signals}, cw.Events{Char: func(c cw.Char) { b.WriteString(c.Text) }})
	if err != nil {
		t.Fatal(err)
	}
	d.Write(x)
	d.Flush()
	return b.String()
}

// What is no Morse prints next to nothing. Ten minutes of each: go test -v -run Nothing -timeout 1h ./cw -long
func TestNothingFromOthers(t *testing.T) {
	seconds := 15.0
	if *long {
		seconds = 600
	}
	for name, x := range others(t, seconds) {
		for _, signals := range []int{1, 20} {
			text := heardIn(t, x, signals)
			t.Logf("%s, %d signals, %.0f s: %d characters %.200q", name, signals, seconds, len(text), text)
			if len(text) > 1 {
				t.Errorf("%s prints %q", name, text)
			}
		}
	}
}

// Nor does music, of each kind ten minutes with -long.
func TestNothingFromMusic(t *testing.T) {
	nothingFromMusic(t, "band", 20)
	nothingFromMusic(t, "bells", 1)
}

// nothingFromMusic listens for so many signals.
func nothingFromMusic(t *testing.T, kind string, signals int) {
	seconds, tempi := 15.0, []float64{120}
	if *long {
		seconds, tempi = 60, []float64{60, 73, 86, 100, 112, 120, 132, 140, 160, 180}
	}
	play := map[string]func(rng *rand.Rand, beats float64) []float32{
		"band": func(rng *rand.Rand, beats float64) []float32 {
			return decodertest.Music(rng, otherRate, seconds, beats, 261.63*math.Pow(2, rng.Float64()-0.5))
		},
		"bells": func(rng *rand.Rand, _ float64) []float32 { return bells(rng, otherRate, seconds) },
	}[kind]
	n := 0
	for _, beats := range tempi {
		text := heardIn(t, play(rand.New(rand.NewPCG(*seed, uint64(beats))), beats), signals)
		if n += utf8.RuneCountInString(text); text != "" {
			t.Logf("%s, %d signals, %.0f beats: %.100q", kind, signals, beats, text)
		}
	}
	if n > 1 {
		t.Errorf("%s, %d signals: %d characters in %.0f s", kind, signals, n, seconds*float64(len(tempi)))
	}
}
