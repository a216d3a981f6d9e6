package fax_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"ionoscribe/fax"
)

// long makes the tests that look for false alarms listen for an hour, and trials more in number.
var long = flag.Bool("long", false, "long trials: an hour for false alarms")

// times is the number of trials.
func times(n, longer int) int {
	if *long {
		return longer
	}
	return n
}

// Tones by ISO 9876:2015 3.5 (start) and WMO-No. 386 part III-5 (stop, from memory), 1 % off their frequency (its
// tolerance), at -3 dB SNR with a clock ±500 ppm off, tuned ±150 Hz off, in either sideband: all are found, and
// where they begin to 0.2 s, in 99 of 100. 40 trials for each tone and length, 400 with -long.
func TestTonesFound(t *testing.T) {
	const rate = 8000
	for _, hz := range []float64{300, 675, 450} {
		for _, seconds := range []float64{5, 10} {
			late, beyond := figures{}, 0
			for k := range times(40, 400) {
				rng := rand.New(rand.NewPCG(uint64(k), uint64(hz+seconds)))
				uniform := func(limit float64) float64 { return limit * (2*rng.Float64() - 1) }
				deviation := 400.0
				if rng.IntN(2) == 0 {
					deviation = -400
				}
				before := randomRuns(rng, 3+rng.Float64())
				off := []float64{0.99, 1, 1.01}[rng.IntN(3)]
				runs := append(before, alternation(hz*off, seconds)...)
				runs = append(runs, randomRuns(rng, 3)...)
				skew := 1 + uniform(500e-6)
				tuning := uniform(150)
				x := spoil(fm(rate, 1900+tuning, deviation, skew, runs), rate, -3, rng)
				found := fax.Tones(rate, x)
				begin := 0.0
				for _, r := range before {
					begin += r.seconds * skew * rate
				}
				if len(found) == 0 || found[0].Hz != hz {
					t.Errorf("%v Hz x %v for %v s, deviation %v, tuning %.0f Hz, trial %d: found %v", hz, off, seconds, deviation, tuning, k, found)
					continue
				}
				for _, f := range found {
					if f.Hz != hz {
						t.Errorf("%v Hz, trial %d: also %v", hz, k, f)
					}
				}
				e := (found[0].From - begin) / rate
				late.add(e)
				if math.Abs(e) > 0.2 {
					beyond++
				}
			}
			t.Logf("%v Hz for %2v s: %d found, begin late by %.3f s on average, %.3f at worst", hz, seconds, late.n, late.mean(), late.worst)
			if beyond > late.n/100 {
				t.Errorf("%v Hz for %v s: begin is off by more than 0.2 s %d times, by %.3f s once", hz, seconds, beyond, late.worst)
			}
		}
	}
}
