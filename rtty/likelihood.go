package rtty

import "math"

// lnI0 is ln I0(x), the logarithm of the modified Bessel function of order 0 that weighs an envelope (Rice's
// density), for x >= 0; from a table with an error below 0.001.
func lnI0(x float32) float32 {
	if x >= bessMost {
		// Abramowitz and Stegun 9.7.1: I0(x) ~ e^x/√(2πx); the root moves slowly, and is taken to stay.
		return x - bessMost + bessel[len(bessel)-2]
	}
	i := int(x * bessPer)
	f := x*bessPer - float32(i)
	return bessel[i] + f*(bessel[i+1]-bessel[i])
}

const (
	bessPer  = 16
	bessMost = 256
)

var bessel = func() (table [bessMost*bessPer + 2]float32) {
	for i := range table {
		table[i] = float32(lnBesselI0(float64(i) / bessPer))
	}
	return table
}()

// lnBesselI0 is by the power series Σ ((x/2)^k/k!)² (Abramowitz and Stegun 9.6.12), and from 30 on by the asymptotic
// series e^x/√(2πx)·(1 + 1/8x + 9/128x²) (9.7.1).
func lnBesselI0(x float64) float64 {
	if x > 30 {
		return x - math.Log(2*math.Pi*x)/2 + math.Log1p(1/(8*x)+9/(128*x*x))
	}
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-17*sum; k++ {
		term *= (x / 2 / k) * (x / 2 / k)
		sum += term
	}
	return math.Log(sum)
}

// logistic is the probability that belongs to the log-likelihood ratio l.
func logistic(l float32) float32 {
	if l < -softMost {
		return softplus[0].p
	}
	if l > softMost {
		return 1 - softplus[0].p
	}
	return softplus[int((l+softMost)*softPer+0.5)].p
}

// either is the log of the sum of the two likelihoods exp a and exp b, less ln 2: that of an element of which nothing
// is known.
func either(a, b float32) float32 {
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
