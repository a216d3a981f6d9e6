package cw_test

import (
	"testing"

	"ionoscribe/cw"
	"ionoscribe/internal/decodertest"
)

// A decoder that may search little does, and says how much it was.
func TestLimitSearch(t *testing.T) {
	const seconds = 20
	var x []float32
	for _, in := range decodertest.Inputs() {
		if in.Name == "music" {
			x = in.Samples(t, seconds, 1)
		}
	}
	searched := func(limit float64) float64 {
		d, err := cw.New(cw.Config{SampleRate: decodertest.InputRate}, cw.Events{})
		if err != nil {
			t.Fatal(err)
		}
		if limit != 0 {
			d.LimitSearch(limit)
		}
		d.Write(x)
		d.Flush()
		return d.Searched()
	}
	little, all := searched(20e3), searched(0)
	t.Logf("%.0f steps of %.0f", little, all)
	if little < 20e3 || little > 40e3 || little > 0.2*all {
		t.Errorf("%.0f steps of %.0f", little, all)
	}
}
