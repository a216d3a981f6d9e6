package cw_test

import (
	"fmt"
	"strings"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/samples"
)

// Every speed is copied without an error from the first character to the last, 30 dB over the noise, and so is whatever
// weighting, length of dashes and spacing a machine may have.
func TestEverySpeed(t *testing.T) {
	cases := map[string]samples.CWConfig{}
	for wpm := 5.0; wpm <= 60; wpm += 5 {
		cases[fmt.Sprint(wpm, " words a minute")] = samples.CWConfig{WPM: wpm, Text: groups(11+int(wpm)/2*3, uint64(wpm))}
	}
	for _, percent := range []float64{30, 40, 60, 70} {
		cases[fmt.Sprint("weight ", percent)] = samples.CWConfig{WeightPercent: percent}
	}
	for _, dots := range []float64{2, 2.5, 4, 5} {
		cases[fmt.Sprint("dashes of ", dots)] = samples.CWConfig{DashRatio: dots}
	}
	for _, wpm := range []float64{8, 12} {
		cases[fmt.Sprint("18 spaced as ", wpm)] = samples.CWConfig{WPM: 18, FarnsworthWPM: wpm}
	}
	for name, c := range cases {
		if c.Text == "" {
			c.Text = groups(35, 5)
		}
		c.Text = strings.TrimSpace(c.Text)
		if got := copied(t, cw.Config{}, sent(t, c, samples.Path{}, 30))[1]; got != c.Text {
			t.Errorf("%s: %q, want %q", name, got, c.Text)
		}
	}
}

// Common beginnings of a transmission are text from their first character on, repeated and short as their words are.
func TestBeginnings(t *testing.T) {
	for _, text := range []string{
		"CQ CQ CQ DE DXYZ DXYZ K", "VVV VVV VVV VVV DE DXYZ", "TEST TEST DE DXYZ", "SOS SOS DE MIRA", "599 599 TU", "DXYZ",
		"00000 00000 11111", "DE DE X3 A B", "12345 67890 12345",
	} {
		for i, c := range []samples.CWConfig{{}, {WPM: 14}, {WPM: 32}} {
			for _, snr := range []float64{20, 0} {
				c.Text, c.Seed = text, uint64(i)
				if got := copied(t, cw.Config{}, sent(t, c, samples.Path{}, snr))[1]; got != text {
					t.Errorf("%g words a minute, %g dB: %q, want %q", c.WPM, snr, got, text)
				}
			}
		}
	}
}

// A message that ends before it has been found out that its characters are far apart is copied once more all the same.
func TestShortAndSpaced(t *testing.T) {
	for _, c := range []samples.CWConfig{
		{Text: "QTH5", WPM: 18, FarnsworthWPM: 8},
		{Text: "MARINER", WPM: 20, FarnsworthWPM: 10},
		{Text: "QTH DRYS", WPM: 18, FarnsworthWPM: 8},
		{Text: "K7QX 5", WPM: 25, FarnsworthWPM: 12},
	} {
		if got := copied(t, cw.Config{}, sent(t, c, samples.Path{}, 30))[1]; got != c.Text {
			t.Errorf("%q, want %q", got, c.Text)
		}
	}
}

// The first character that is right begins within 3 s at 20 words a minute and 0 dB: what was sent before the speed was
// found is copied from memory.
func TestFirstCharacter(t *testing.T) {
	for seed := range uint64(4) {
		c := samples.CWConfig{Text: groups(35, 20+seed), Seed: seed}
		x := sent(t, c, samples.Path{}, 0)
		first, text := -1.0, ""
		d, err := cw.New(cw.Config{SampleRate: testRate}, cw.Events{Char: func(ch cw.Char) {
			if text += ch.Text; first < 0 && strings.HasPrefix(c.Text, text) {
				first = float64(ch.End)/testRate - samples.DefaultCWSilenceSeconds
			}
		}})
		if err != nil {
			t.Fatal(err)
		}
		d.Write(x)
		d.Flush()
		if first < 0 || first > 3 || text != c.Text {
			t.Errorf("first after %.1f s: %q, want %q", first, text, c.Text)
		}
	}
}
