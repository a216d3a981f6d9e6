package fsk

import "math"

// Logistic is the probability that belongs to the log-likelihood ratio l.
func Logistic(l float32) float32 {
	if l < -softMost {
		return softplus[0].p
	}
	if l > softMost {
		return 1 - softplus[0].p
	}
	return softplus[int((l+softMost)*softPer+0.5)].p
}

// Either is the log of the sum of the two likelihoods exp a and exp b, less ln 2: that of an element of which nothing
// is known.
func Either(a, b float32) float32 {
	if a < b {
		a, b = b, a
	}
	if a-b > softMost {
		return a - math.Ln2
	}
	return a + softplus[int((b-a+softMost)*softPer+0.5)].ln - math.Ln2
}

const (
	softPer  = 64
	softMost = 16
)

var softplus = func() (table [2*softMost*softPer + 2]struct{ p, ln float32 }) {
	for i := range table {
		l := float64(i)/softPer - softMost
		table[i].p = float32(1 / (1 + math.Exp(-l)))
		table[i].ln = float32(math.Log1p(math.Exp(l)))
	}
	return table
}()
