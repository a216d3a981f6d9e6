package cw_test

import (
	"testing"

	"ionoscribe/cw"
	"ionoscribe/samples"
)

// The speed of weak and of fast signals is found: no message is missed. With the likeliest speed taken for the right one
// most of these were, or their beginnings.
func TestWeakMessages(t *testing.T) {
	for _, c := range []struct {
		wpm, snr   float64
		characters int
	}{{20, -13, 30}, {45, -4, 60}} {
		for seed := range uint64(6) {
			text := groups(c.characters, seed+40)
			x := sent(t, samples.CWConfig{Text: text, WPM: c.wpm, PitchHz: 500 + 100*float64(seed), Seed: seed}, samples.Path{Seed: seed}, c.snr)
			heard := 0
			for _, s := range copied(t, cw.Config{}, x) {
				heard += len(s)
			}
			if heard < len(text)*8/10 {
				t.Errorf("%g words a minute, %g dB, seed %d: %d characters of %d", c.wpm, c.snr, seed, heard, len(text))
			}
		}
	}
}
