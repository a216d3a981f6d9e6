package modeb_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"ionoscribe/demod"
	"ionoscribe/rtty/modeb"
	"ionoscribe/samples"
)

const rate = 12000

const message = "ZCZC EA01\n281200 UTC NOV\nGALE WARNING OSTREL SEA\nWIND SW 8 BACKING S 9 (SOON), VISIBILITY 2000 M\nNNNN\n"

// sent is a transmission after a path, as samples.
func sent(tb testing.TB, c samples.ModeBConfig, p samples.Path) []float32 {
	tb.Helper()
	c.SampleRate = rate
	s, err := samples.NewModeB(c)
	must(tb, err)
	var src demod.SampleReader = s
	if p.Noise != nil {
		src, err = samples.Concat(samples.Silence(rate, 1), s, samples.Silence(rate, 4))
		must(tb, err)
	}
	src, err = p.Through(src, s.Power())
	must(tb, err)
	x, err := samples.ReadAll(src)
	must(tb, err)
	return x
}

func must(tb testing.TB, err error) {
	tb.Helper()
	if err != nil {
		tb.Fatal(err)
	}
}

func noise(snr float64, seed uint64) samples.Path {
	return samples.Path{Noise: &samples.NoiseConfig{SNRdB: snr, Seed: seed}, Seed: seed}
}

// hear decodes x and returns the text and the last state in which a signal was received.
func hear(tb testing.TB, x []float32, c modeb.Config) (text string, state modeb.State) {
	tb.Helper()
	var b strings.Builder
	c.SampleRate = rate
	d, err := modeb.New(c, modeb.Events{
		Char: func(c modeb.Char) {
			if c.Rune != 0 {
				b.WriteRune(c.Rune)
			}
		},
		State: func(s modeb.State) {
			if s.Receiving {
				state = s
			}
		},
	})
	must(tb, err)
	d.Write(x)
	d.Flush()
	return b.String(), state
}

// A signal anywhere in the passband, with either tone as B and either order of the phasing signals, or none, is found and printed
// with nothing ordered.
func TestAnywhere(t *testing.T) {
	for i, centre := range []float64{400, 1000, 1700, 2210, 2900, 3400} {
		for _, inverted := range []bool{false, true} {
			t.Run(fmt.Sprint(centre, inverted), func(t *testing.T) {
				c := samples.ModeBConfig{Text: message, AlphaFirst: i%2 == 0}
				c.CentreHz, c.Inverted, c.BaudErrorPercent = centre, inverted, 0.02
				if i%3 == 2 {
					c.PhasingSeconds = -1
				}
				text, s := hear(t, sent(t, c, noise(3, uint64(i))), modeb.Config{})
				if text != message {
					t.Errorf("%q", text)
				}
				if math.Abs(s.CentreHz-centre) > 3 || math.Abs(s.ShiftHz-170) > 6 || s.Inverted != inverted || math.Abs(s.SNR-3) > 2 {
					t.Errorf("%+v", s)
				}
			})
		}
	}
}

// Joined in the middle, text begins with the first character of which both sendings were heard.
func TestJoined(t *testing.T) {
	for i := range 10 {
		x := sent(t, samples.ModeBConfig{Text: message}, noise(0, uint64(i)))
		x = x[(7*rate+i*411)/1:]
		text, _ := hear(t, x, modeb.Config{})
		if !strings.HasSuffix(message, text) || len(text) < 60 {
			t.Errorf("%q", text)
		}
	}
}

func groups(n int, seed uint64) string {
	r := rand.New(rand.NewPCG(seed, 1))
	b := make([]byte, n)
	for i := range b {
		b[i] = byte('A' + r.IntN(26))
		if i%6 == 5 {
			b[i] = ' '
		}
	}
	return string(b)
}

// Groups through white noise: the bounds are the error rates of a receiver that knows everything but the message, 0.5 dB weaker
// (internal/theory, ModeB). What is reached is within 0.3 dB of it.
func TestNoise(t *testing.T) {
	for _, c := range []struct{ snr, most float64 }{{-6, 0.0015}, {-7, 0.008}, {-8, 0.032}} {
		wrong, all := 0, 0
		for seed := range uint64(8) {
			text := groups(500, seed)
			got, _ := hear(t, sent(t, samples.ModeBConfig{Text: text}, noise(c.snr, seed)), modeb.Config{})
			wrong += distance(got, text)
			all += len(text)
		}
		if share := float64(wrong) / float64(all); share > c.most {
			t.Errorf("%g dB: %.4f of %d characters are wrong", c.snr, share, all)
		} else {
			t.Logf("%g dB: %.4f", c.snr, share)
		}
	}
}

func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		diagonal := i
		row[0] = i + 1
		for j := range b {
			replaced := diagonal
			if a[i] != b[j] {
				replaced++
			}
			diagonal = row[j+1]
			row[j+1] = min(replaced, row[j]+1, diagonal+1)
		}
	}
	return row[len(b)]
}
