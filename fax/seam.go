package fax

import (
	"math"

	"ionoscribe/demod"
)

// seam finds the line start of a chart whose phasing was not heard: the margins on both sides of the paper
// meet in the dead sector and make the calmest band of columns. It returns the band's middle as a share of
// the line, and its brightness in units of the deviation (the margin is white, so this tells the polarity).
func (s *stack) seam(offset, deviation float64) (middle, level float64) {
	n := s.columns
	// Sums over the stack's rows of each column's brightness and its square, doubled for wrapping around.
	sum, square := make([]float64, 2*n+1), make([]float64, 2*n+1)
	one, two := make([]float64, n), make([]float64, n)
	for _, row := range s.sums {
		for i, c := range row {
			b := (float64(demod.Phase(c))*VideoRate/(4*math.Pi) - offset) / deviation
			one[i] += b
			two[i] += b * b
		}
	}
	for i := range 2 * n {
		sum[i+1] = sum[i] + one[i%n]
		square[i+1] = square[i] + two[i%n]
	}
	rows := float64(len(s.sums))
	// The calmest band that is as wide as the narrowest dead sector.
	w := int((DeadSectorShare - 0.005) * float64(n))
	best, at := math.Inf(1), 0
	var all float64
	variance := func(i, w int) (mean, v float64) {
		k := rows * float64(w)
		mean = (sum[i+w] - sum[i]) / k
		return mean, (square[i+w]-square[i])/k - mean*mean
	}
	for i := range n {
		_, v := variance(i, w)
		all += v / float64(n)
		if v < best {
			best, at = v, i
		}
	}
	level, _ = variance(at, w)
	// It goes on as long as its columns, three at a time, are as calm and as bright.
	limit := best + 0.1*(all-best)
	calm := func(i int) bool { // columns i to i+2
		i = ((i % n) + n) % n
		m, v := variance(i, 3)
		return v+(m-level)*(m-level) < limit
	}
	left, right := at, at+w
	for right-left < n/2 && calm(left-3) {
		left--
	}
	for right-left < n/2 && calm(right) {
		right++
	}
	return math.Mod(float64(left+right)/2/float64(n), 1), level
}
