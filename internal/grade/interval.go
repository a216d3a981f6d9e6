package grade

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Interval is a measured figure with the bounds of its 95 % confidence interval.
type Interval struct{ Value, Low, High float64 }

// z95 is the 97.5 % quantile of the normal distribution.
const z95 = 1.959964

// proportion is the share of wrong characters in messages: wrong[i] of of[i] in each. Errors come in bursts, in
// fades and where a decoder has lost its lock, so the messages are the sample and not the characters. How much the
// share differs from message to message (the variance of a ratio: Cochran, Sampling Techniques, 1977, chapter 2)
// tells how many independent characters would tell as much. The interval is that of Wilson (J. American Statistical
// Association 22, 1927, p. 209) for these, widened as Student's distribution is wider than the normal one (Korn and
// Graubard, Survey Methodology 24, 1998, p. 193, from memory, do so with another interval).
//
// If there is but one message, or no or all characters are wrong, nothing tells how errors hang together: the
// characters then count as independent, and in bursts of errors the interval is too narrow.
func proportion(wrong, of []int) Interval {
	m, k, n := float64(len(of)), 0.0, 0.0
	for i := range of {
		k += float64(wrong[i])
		n += float64(of[i])
	}
	if n == 0 {
		return Interval{math.NaN(), 0, 1}
	}
	p := k / n
	if m > 1 && k > 0 && k < n {
		squares := 0.0
		for i := range of {
			d := float64(wrong[i]) - p*float64(of[i])
			squares += d * d
		}
		variance := m / (m - 1) * squares / (n * n)
		t := z95 / distuv.StudentsT{Sigma: 1, Nu: m - 1}.Quantile(0.975)
		n = math.Min(n, p*(1-p)/variance*t*t)
	}
	// Wilson: the p of which the measured share is z standard deviations away.
	centre := (p + z95*z95/(2*n)) / (1 + z95*z95/n)
	half := z95 / (1 + z95*z95/n) * math.Sqrt(p*(1-p)/n+z95*z95/(4*n*n))
	return Interval{p, math.Max(0, centre-half), math.Min(1, centre+half)}
}

// meanOf is the mean of a sample, with Student's interval; of one value the interval is the value.
func meanOf(x []float64) Interval {
	n, sum, squares := float64(len(x)), 0.0, 0.0
	for _, v := range x {
		sum += v
	}
	m := sum / n
	if n < 2 {
		return Interval{m, m, m}
	}
	for _, v := range x {
		squares += (v - m) * (v - m)
	}
	half := distuv.StudentsT{Sigma: 1, Nu: n - 1}.Quantile(0.975) * math.Sqrt(squares/(n-1)/n)
	return Interval{m, m - half, m + half}
}
