package dsc

import "math"

// decider finds the likeliest symbols whose sum modulo 2 is zero, as the check symbol makes it. It goes through all sums that the
// first symbols may have, so what it finds is the likeliest of all, and the probability of all others is known.
type decider struct {
	best  [mostSymbols + 4][symbols]float64 // probability of the likeliest symbols with each sum
	last  [mostSymbols + 4][symbols]Symbol
	total [symbols]float64 // of all symbols with each sum
	p     [symbols]float64
}

// negligible is a probability of a symbol that is passed over. All of a call that are have 36·128·1e-10 = 5e-7 together, which is
// nothing beside the 1e-4 that leastSure leaves.
const negligible = 1e-10

// decide decides on symbols by their likelihoods, in dst, and says how probable it is that all are right.
func (d *decider) decide(dst []Symbol, likely []*likelihood) ([]Symbol, float64) {
	d.best[0], d.total = [symbols]float64{1}, [symbols]float64{1}
	for i, l := range likely {
		l.probabilities(&d.p)
		var total [symbols]float64
		best, last := &d.best[i+1], &d.last[i+1]
		*best = [symbols]float64{}
		for s, p := range d.p {
			if p < negligible {
				continue
			}
			for sum := range d.total {
				total[sum^s] += d.total[sum] * p
				if v := d.best[i][sum] * p; v > best[sum^s] {
					best[sum^s], last[sum^s] = v, Symbol(s)
				}
			}
		}
		d.total = total
	}
	n := len(likely)
	dst = dst[:n]
	sum := Symbol(0)
	for i := n; i > 0; i-- {
		dst[i-1] = d.last[i][sum]
		sum ^= dst[i-1]
	}
	return dst, d.best[n][0] / math.Max(d.total[0], math.SmallestNonzeroFloat64)
}
