package fax_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"ionoscribe/fax"
	"ionoscribe/samples"
)

// The clock from phasing alone against the Cramér-Rao bound (Kay, Fundamentals of Statistical Signal Processing,
// chapter 3): a phase known from T seconds at the density ratio SNR·2500 Hz has the variance 1/(2·SNR·2500·T), an edge
// is off by the difference of two phases over 2π·800 Hz, a pulse by the mean of two edges, and a slope through n lines
// by √(12/n³) of that. What is used of a line: 24 ms of the pulse, 49.5 ms on each side. The charts are too short for
// their picture to tell more.
func TestPhasingClock(t *testing.T) {
	const rate, snr, lines, trials = 8000, 10.0, 60, 16
	variance := func(seconds float64) float64 { return 1 / (2 * math.Pow(10, snr/10) * 2500 * seconds) }
	pulse := math.Sqrt(variance(0.0495)*2+variance(0.024)*4) / 2 / (2 * math.Pi * 800) // seconds
	bound := pulse / 0.5 * math.Sqrt(12/math.Pow(lines, 3)) * 1e6
	f, claimed := figures{}, 0.0
	for k := range trials {
		rng := rand.New(rand.NewPCG(uint64(k), 8))
		c := trial{snr: snr, ppm: 400*rng.Float64() - 200, seed: rng.Uint64()}
		c.FaxConfig = samples.FaxConfig{Picture: picture(576, 40, rng.Uint64()), SampleRate: rate}
		x, _ := c.audio(t)
		charts := hear(t, fax.Config{SampleRate: rate, Plain: true}, x)
		if len(charts) != 1 {
			t.Fatalf("trial %d: %d charts", k, len(charts))
		}
		f.add(charts[0].ClockPPM - c.ppm)
		claimed += charts[0].ClockDeviationPPM / trials
	}
	t.Logf("clock off by %.3f ppm RMS, %.3f at worst; bound %.3f, claimed %.3f", f.rms(), f.worst, bound, claimed)
	if f.rms() > 1.5*bound || claimed < 0.7*f.rms() || claimed > 2*f.rms() {
		t.Errorf("clock off by %.3f ppm RMS; bound %.3f, claimed %.3f", f.rms(), bound, claimed)
	}
}
