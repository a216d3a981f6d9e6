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

// The marks of signals say little against them, as their characters gain 1.5 nats each or so; those of music say much
// against it. -v prints quantiles of all statistics, -long of more signals.
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
		var rows [][]float64
		for seed := range messages {
			c.send.Text, c.send.Seed = groups(150, seed), seed
			rows = append(rows, conducts(t, cw.Config{SampleRate: testRate}, sent(t, c.send, path(t, c.channel), c.snr))...)
		}
		if evidence := describe(t, c.name, rows); len(rows) < 90*int(messages) || evidence < -0.2 {
			t.Errorf("%s: %d times, %.2f nats a character", c.name, len(rows), evidence)
		}
	}
	for name, play := range map[string]func(rng *rand.Rand) []float32{
		"band":  func(rng *rand.Rand) []float32 { return decodertest.Music(rng, otherRate, seconds, 112, 240) },
		"bells": func(rng *rand.Rand) []float32 { return bells(rng, otherRate, seconds) },
	} {
		var rows [][]float64
		for seed := range messages {
			rows = append(rows, conducts(t, cw.Config{SampleRate: otherRate, Signals: 20}, play(rand.New(rand.NewPCG(seed, 3))))...)
		}
		if name == "bells" && len(rows) < 4 { // a speed may not be found in a band
			t.Errorf("%s: characters were decided %d times", name, len(rows))
		}
		if len(rows) == 0 {
			continue
		}
		if evidence := describe(t, name, rows); evidence > -0.4 {
			t.Errorf("%s: %.2f nats a character", name, evidence)
		}
	}
}

// conducts are the mark statistics of what is heard in samples.
func conducts(t *testing.T, c cw.Config, x []float32) [][]float64 {
	t.Helper()
	d, err := cw.New(c, cw.Events{})
	if err != nil {
		t.Fatal(err)
	}
	return cw.Conducts(d, x)
}

// path is one through a channel; "": without fading.
func path(t *testing.T, channel string) (p samples.Path) {
	t.Helper()
	if channel == "" {
		return p
	}
	c, err := samples.FindChannel(channel)
	if err != nil {
		t.Fatal(err)
	}
	f := c.Fading(4)
	return samples.Path{Fading: &f}
}

// describe logs quantiles of mark statistics, and returns the median of the evidence.
func describe(t *testing.T, name string, rows [][]float64) float64 {
	quantile := func(x []float64, p float64) float64 { return x[int(p*float64(len(x)-1))] }
	var b strings.Builder
	var column []float64
	for i, name := range cw.ConductNames {
		column = column[:0]
		for _, row := range rows {
			column = append(column, row[i])
		}
		slices.Sort(column)
		fmt.Fprintf(&b, "\n  %-10s", name)
		for _, p := range []float64{0, 0.1, 0.5, 0.9, 1} {
			fmt.Fprintf(&b, " %8.2f", quantile(column, p))
		}
	}
	t.Logf("%s, %d times: least, 10, 50, 90 %%, most%s", name, len(rows), b.String())
	return quantile(column, 0.5)
}
