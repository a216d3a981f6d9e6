package cw_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/internal/decodertest"
	"ionoscribe/samples"
)

// The marks of signals say little against them, as their characters gain 1.5 nats each or so; those of music speak
// against it. -v prints quantiles of all that is heeded, -long by more signals.
func TestConduct(t *testing.T) {
	kinds := []struct {
		name    string
		send    samples.CWConfig
		channel string
		snr     float64
	}{
		{"machine, -9 dB", samples.CWConfig{WPM: 20}, "", -9},
		{"machine, 30 dB", samples.CWConfig{WPM: 20}, "", 30},
		{"drifting, 10 dB", samples.CWConfig{WPM: 20, DriftHzPerSecond: 2}, "", 10},
		{"paddle, 15 %, 10 dB", samples.CWConfig{Sender: samples.Paddle, Jitter: 0.15}, "", 10},
		{"semi-automatic, 10 dB", samples.CWConfig{Sender: samples.SemiAutomatic}, "", 10},
		{"hand, 16 %, 10 dB", samples.CWConfig{Sender: samples.StraightKey, Jitter: 0.16}, "", 10},
		{"hand, -3 dB", samples.CWConfig{WPM: 18, Sender: samples.StraightKey}, "", -3},
		{"hand, mid-moderate, 10 dB", samples.CWConfig{WPM: 18, Sender: samples.StraightKey}, "mid-moderate", 10},
		{"machine, mid-disturbed, 10 dB", samples.CWConfig{WPM: 18}, "mid-disturbed", 10},
	}
	messages, seconds := uint64(1), 30.0
	if *long {
		messages, seconds = 6, 120
	}
	for _, c := range kinds {
		evidence, judged := conduct(t, c.name, func() {
			for seed := range messages {
				c.send.Text, c.send.Seed = groups(150, seed), seed
				copied(t, cw.Config{}, sent(t, c.send, path(c.channel), c.snr))
			}
		})
		if judged < 120*int(messages) || evidence < -0.2 {
			t.Errorf("%s: %d characters, %.2f nats each", c.name, judged, evidence)
		}
	}
	for name, play := range map[string]func(rng *rand.Rand) []float32{
		"band":  func(rng *rand.Rand) []float32 { return decodertest.Music(rng, otherRate, seconds, 112, 240) },
		"bells": func(rng *rand.Rand) []float32 { return bells(rng, otherRate, seconds) },
	} {
		evidence, judged := conduct(t, name, func() {
			for seed := range messages {
				heardIn(t, play(rand.New(rand.NewPCG(seed, 3))), 20)
			}
		})
		if name == "bells" && judged < 10 { // of a band nothing may even be judged
			t.Errorf("%s: %d characters are judged", name, judged)
		}
		if judged > 0 && evidence > -0.4 {
			t.Errorf("%s: %.2f nats a character", name, evidence)
		}
	}
}

// path is one through a channel.
func path(channel string) (p samples.Path) {
	for _, c := range samples.Channels {
		if c.Name == channel {
			f := c.Fading(4)
			p.Fading = &f
		}
	}
	return p
}

// conduct prints what marks are like, and is the median of the evidence and of how many characters it is.
func conduct(t *testing.T, name string, receive func()) (evidence float64, judged int) {
	rows := make([][]float64, len(cw.ConductNames))
	cw.Observe(func(values []float64) {
		for i, v := range values {
			rows[i] = append(rows[i], v)
		}
	})
	defer cw.Observe(nil)
	receive()
	if len(rows[0]) == 0 {
		return 0, 0
	}
	quantile := func(x []float64, p float64) float64 { return x[int(p*float64(len(x)-1))] }
	var b strings.Builder
	for i, row := range rows {
		slices.Sort(row)
		fmt.Fprintf(&b, "\n  %-10s %8.2f %8.2f %8.2f %8.2f %8.2f", cw.ConductNames[i], row[0], quantile(row, 0.1), quantile(row, 0.5), quantile(row, 0.9), quantile(row, 1))
	}
	t.Logf("%s, %d characters: least, 10, 50, 90 %%, most%s", name, len(rows[0]), b.String())
	return quantile(rows[len(rows)-1], 0.5), len(rows[0])
}
