package rtty

import (
	"math"

	"ionoscribe/demod/fsk"
)

// rate measures by how much a signal is faster or slower than the rate it is received at: by how far apart two edges
// of the same kind are in a character. Edges of one kind, because tones that are not equally strong move the two kinds
// apart.
type rate struct {
	sumNN, sumND float64 // grid points²: of nominal distances n, and of n times how much longer they were
	pairs        int
}

const (
	rateMemory  = 0.995 // of older characters, from one to the next
	rateSlack   = 3.0   // grid points that noise moves an edge by
	fewestPairs = 60    // some thirty characters: 0.2 % at 0 dB
)

// listen takes a character that begins at a grid point.
func (r *rate) listen(m, s *[fsk.GridSize]float32, start int64, units int) {
	r.sumNN *= rateMemory
	r.sumND *= rateMemory
	var first [2]float64 // edge to space, to mark
	var have [2]bool
	for i := range units + 1 {
		from := start + int64(i)*fsk.PerElement
		before, after := ratio(m, s, from), ratio(m, s, from+fsk.PerElement)
		if (before > 0) == (after > 0) {
			continue
		}
		kind := 0
		if after > 0 {
			kind = 1
		}
		at := float64(from) + crossing(m, s, from)
		if !have[kind] {
			first[kind], have[kind] = at, true
			continue
		}
		n := math.Round((at-first[kind])/fsk.PerElement) * fsk.PerElement
		if d := at - first[kind] - n; math.Abs(d) <= rateSlack {
			r.sumNN += n * n
			r.sumND += n * d
			r.pairs++
		}
	}
}

// ratio is the log-likelihood ratio for mark of the element at g.
func ratio(m, s *[fsk.GridSize]float32, g int64) float32 {
	return m[g&fsk.GridMask] - s[g&fsk.GridMask]
}

// crossing is where, from g on, the ratio changes its sign, in grid points.
func crossing(m, s *[fsk.GridSize]float32, g int64) float64 {
	a := ratio(m, s, g)
	for i := range int64(fsk.PerElement) {
		b := ratio(m, s, g+i+1)
		if (a > 0) != (b > 0) {
			return float64(i) + float64(a/(a-b))
		}
		a = b
	}
	return fsk.PerElement / 2
}

// off is the share by which the signal is faster, and whether that is known.
func (r *rate) off() (share float64, known bool) {
	if r.pairs < fewestPairs {
		return 0, false
	}
	return -r.sumND / r.sumNN, true
}
