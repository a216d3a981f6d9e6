package fax_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/samples"
)

// Line clock at 3 dB SNR, clock error to 500 ppm: with phasing and joined late. One pixel over a chart of n lines is
// 10^6/(1810·n) ppm: 1.8 ppm at 300 lines, 0.46 ppm at 1200; a quarter of it is the bound, a ninth the RMS. -long: 20 charts of 1200 lines each.
func TestLineClock(t *testing.T) {
	const rate = 8000
	rows, trials := times(300, 1200), times(3, 20)
	for _, late := range []bool{false, true} {
		f := figures{}
		for k := range trials {
			rng := rand.New(rand.NewPCG(uint64(k), 7))
			c := trial{snr: 3, ppm: 1000*rng.Float64() - 500, seed: rng.Uint64()}
			c.FaxConfig = samples.FaxConfig{Picture: picture(576, rows, rng.Uint64()), SampleRate: rate, CentreHz: 1900 + 200*rng.Float64() - 100}
			x, sent := c.audio(t)
			if late {
				x = x[int(sent.PictureStart()*rate)+rng.IntN(10*rate):]
			}
			charts := hear(t, fax.Config{SampleRate: rate, Plain: true}, x)
			if len(charts) != 1 {
				t.Errorf("trial %d, late %v: %d charts", k, late, len(charts))
				continue
			}
			e := charts[0].ClockPPM - c.ppm
			f.add(e)
			if pixel := 1e6 / float64(1810*rows); math.Abs(e) > pixel/4 || !charts[0].SlantMeasured {
				t.Errorf("trial %d, late %v: %.2f ppm instead of %.2f, measured %v", k, late, charts[0].ClockPPM, c.ppm, charts[0].SlantMeasured)
			}
		}
		t.Logf("%d lines at 3 dB, late %v: clock off by %.3f ppm RMS, %.3f at worst", rows, late, f.rms(), f.worst)
	}
}
