package cw_test

import (
	"fmt"
	"math"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/samples"
)

func TestSNR(t *testing.T) {
	for _, wpm := range []float64{12, 20, 35, 55} {
		for _, snr := range []float64{0, 10, 20, 30} {
			sum, sq, n := 0.0, 0.0, 0.0
			for seed := range uint64(5) {
				c := samples.CWConfig{Text: groups(120, seed), WPM: wpm, Seed: seed}
				d, err := cw.New(cw.Config{SampleRate: testRate}, cw.Events{State: func(s cw.State) {
					if s.Receiving {
						sum += s.SNR
						sq += s.SNR * s.SNR
						n++
					}
				}})
				if err != nil {
					t.Fatal(err)
				}
				d.Write(sent(t, c, samples.Path{}, snr))
				d.Flush()
			}
			fmt.Printf("%g wpm %g dB: %.2f ± %.2f (%g)\n", wpm, snr, sum/n-snr, math.Sqrt(max(0, sq/n-sum*sum/n/n)), n)
		}
	}
}
