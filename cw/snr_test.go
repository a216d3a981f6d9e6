package cw_test

import (
	"math"
	"testing"

	"ionoscribe/cw"
	"ionoscribe/samples"
)

// The ratio that is reported is that which is sent. Of strong signals the sidebands count as noise in part.
func TestSNR(t *testing.T) {
	for snr, within := range map[float64]float64{0: 0.25, 10: 0.25, 20: 0.45, 30: 0.8} {
		for _, wpm := range []float64{12, 35} {
			sum, n := 0.0, 0.0
			for seed := range uint64(3) {
				d, err := cw.New(cw.Config{SampleRate: testRate}, cw.Events{State: func(s cw.State) {
					if s.Receiving {
						sum, n = sum+s.SNR, n+1
					}
				}})
				if err != nil {
					t.Fatal(err)
				}
				d.Write(sent(t, samples.CWConfig{Text: groups(100, seed), WPM: wpm, Seed: seed}, samples.Path{}, snr))
				d.Flush()
			}
			if off := sum/n - snr; !(math.Abs(off) < within) {
				t.Errorf("%g dB, %g words a minute: off by %.2f dB", snr, wpm, off)
			}
		}
	}
}

// A signal is one, however far it is over the noise: neither what keying makes beside it nor what the receiving filter
// leaves of its mirror image is another.
func TestOneOfStrong(t *testing.T) {
	for _, c := range []struct{ wpm, hz, snr float64 }{{12, 700, 45}, {20, 700, 60}, {40, 700, 60}, {30, 300, 70}, {20, 3300, 70}, {55, 1500, 80}} {
		hz := map[int]float64{}
		d, err := cw.New(cw.Config{SampleRate: testRate, Signals: 20}, cw.Events{Char: func(ch cw.Char) { hz[ch.Signal] = ch.PitchHz }})
		if err != nil {
			t.Fatal(err)
		}
		d.Write(sent(t, samples.CWConfig{Text: report, WPM: c.wpm, PitchHz: c.hz}, samples.Path{}, c.snr))
		d.Flush()
		if len(hz) != 1 || math.Abs(hz[1]-c.hz) > 1 {
			t.Errorf("%g words a minute at %g Hz, %g dB: signals at %v Hz", c.wpm, c.hz, c.snr, hz)
		}
	}
}
