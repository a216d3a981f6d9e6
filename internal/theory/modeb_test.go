package theory

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"
)

// unionBound is the most that receivers which add squares of envelopes get wrong: the sum, over all other patterns, of the error
// between two, others[d] being how many differ in d elements. Each such element comes twice, so there are L = 2d pairs of envelopes of
// equal energy (Proakis, Digital Communications, binary signals over L channels, from memory):
// exp(-γ/2)/2^(2L-1) · Σ c_n (γ/2)^n, n < L, c_n = 1/n! Σ C(2L-1, k), k < L-n, γ being the energy of all L over N0.
func unionBound(ratio float64, others map[int]float64) (sum float64) {
	for d, number := range others {
		l := 2 * d
		half := float64(l) * ratio / 2
		p, power := 0.0, 1.0 // power is (γ/2)^n/n!
		for n := range l {
			c, choose := 0.0, 1.0
			for k := range l - n {
				c += choose
				choose *= float64(2*l-1-k) / float64(k+1)
			}
			p += power * c
			power *= half / float64(n+1)
		}
		sum += number * p * math.Exp(-half) / math.Exp2(float64(2*l-1))
	}
	return sum
}

// Patterns of four B among seven elements differ in 2, 4 or 6.
var modeBOthers = map[int]float64{2: 12, 4: 18, 6: 4}

// The table against the bound, which is near what is true where errors are rare; weighing envelopes as they are likely is better
// than adding squares, by a few tenths of a decibel.
func TestModeBTable(t *testing.T) {
	if *update {
		table := "E/N0 dB,wrong,wrong or doubtful\n"
		for db := 0.0; db <= 9; db += 0.5 {
			rng := rand.New(rand.NewPCG(1, uint64(2*db)))
			n := 400_000
			if db > 5.6 {
				n = 4_000_000
			}
			wrong, doubtful := ModeB(rng, math.Pow(10, db/10), n)
			table += fmt.Sprintf("%g,%.4g,%.4g\n", db, wrong, doubtful)
		}
		if err := os.WriteFile("modeb.csv", []byte(table), 0o666); err != nil {
			t.Fatal(err)
		}
		modeBTable = table
	}
	curve := ModeBCurves()[0]
	for db := 0.0; db <= 9; db++ {
		ratio := math.Pow(10, db/10)
		got, bound := curve.At(SNRdB(ratio, 0.01)), unionBound(ratio, modeBOthers)
		if got > bound || db >= 7 && got < 0.5*bound {
			t.Errorf("%g dB: %.3g wrong, the bound is %.3g", db, got, bound)
		}
	}
	for _, c := range ModeBCurves() {
		t.Logf("%s: 1 %% at %.2f dB in 2500 Hz, %.4f at -8 dB", c.Name, crossing(c, 0.01), c.At(-8))
	}
}

// crossing is where a curve falls below a share.
func crossing(c Curve, share float64) float64 {
	snr := -20.0
	for c.At(snr) > share {
		snr += 0.01
	}
	return snr
}

// The table is what the simulation makes.
func TestModeBSimulation(t *testing.T) {
	const db, n = 5.0, 20000
	wrong, doubtful := ModeB(rand.New(rand.NewPCG(2, 2)), math.Pow(10, db/10), n)
	for i, got := range []float64{wrong, doubtful} {
		want := ModeBCurves()[i].At(SNRdB(math.Pow(10, db/10), 0.01))
		if math.Abs(got-want) > 4*math.Sqrt(want/n) {
			t.Errorf("%.4f, want %.4f", got, want)
		}
	}
}
