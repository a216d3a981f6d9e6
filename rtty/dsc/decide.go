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

// decide decides on symbols by their likelihoods, in dst, and says how probable it is that all are right.
func (d *decider) decide(dst []Symbol, likely []*likelihood) ([]Symbol, float64) {
	d.best[0], d.total = [symbols]float64{1}, [symbols]float64{1}
	for i, l := range likely {
		l.probabilities(&d.p)
		var total [symbols]float64
		best, last := &d.best[i+1], &d.last[i+1]
		*best = [symbols]float64{}
		for sum := range d.total {
			before, all := d.best[i][sum], d.total[sum]
			for s, p := range d.p {
				total[sum^s] += all * p
				if v := before * p; v > best[sum^s] {
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
