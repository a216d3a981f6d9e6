package theory

import (
	"math/rand/v2"
	"testing"
)

// On a single path (no delay) whose fading stands still, the tones fade together: the error is the mean of that in white noise over
// the Rayleigh distribution of levels. In the channels of ITU-R F.1487 at the levels at which mode B is graded hardly any character is
// beyond an ideal receiver.
func TestModeBFading(t *testing.T) {
	const snr, n = 3.0, 20000
	flat, _ := ModeBFading(rand.New(rand.NewPCG(1, 1)), EnergyRatio(snr, 0.01), 0, 0, 170, 0, n)
	rng, mean := rand.New(rand.NewPCG(2, 2)), 0.0
	curve := ModeBCurves()[0]
	for range n {
		mean += curve.At(snr+SNRdB(max(rng.ExpFloat64(), 1e-6), 1/2500.0)) / n
	}
	near(t, "flat fading", flat, mean, 0.12)
	for _, c := range []struct{ snr, delay, spread, crashes, most float64 }{{5, 0.001, 0.5, 0, 0.002}, {8, 0.002, 1, 0.02, 0.002}} {
		_, doubtful := ModeBFading(rand.New(rand.NewPCG(1, 1)), EnergyRatio(c.snr, 0.01), c.delay, c.spread, 170, c.crashes, n)
		t.Logf("%g dB, delay %g s, spread %g Hz, crashes %g: %.4f wrong or doubtful", c.snr, c.delay, c.spread, c.crashes, doubtful)
		if doubtful > c.most {
			t.Errorf("%.4f wrong or doubtful", doubtful)
		}
	}
}
