package rtty

import (
	"math"

	"ionoscribe/demod/fsk"
)

// doubted is the log-likelihood ratio for mark of the element at g; see [fsk.Levels.Ratio].
func (r *trellis) doubted(l *fsk.Levels, g int64, excess float64) float64 {
	if r.inverted {
		return -l.Ratio(g, excess)
	}
	return l.Ratio(g, excess)
}

// missed is the likelihood that a letters or a figures shift before a character was not seen, against mark all the time
// between it and the one before: of the likeliest place, for each that there is room for.
func (c *channel) missed(f frame, h *fsk.Front) (likely [2]float64) {
	r, l := c.trellis[0], &c.Levels
	if f.extra < r.length-fsk.PerElement || r.units != 5 {
		return likely
	}
	first := max(f.start-f.extra, r.at-fsk.GridSize/2)
	best := [2]float64{math.Inf(-1), math.Inf(-1)}
	for g := first; g+r.length-fsk.PerElement <= f.start; g += fsk.PerElement / 4 {
		start := -r.doubted(l, g, c.Excess(h, g))
		best[Letters] = max(best[Letters], start)
		// The third unit of a figures shift is space too.
		third := g + 3*fsk.PerElement
		best[Figures] = max(best[Figures], start-r.doubted(l, third, c.Excess(h, third)))
	}
	room := float64(f.extra) / float64(r.length)
	for k := range likely {
		if p := math.Exp(min(best[k], 0)); p > clearly {
			likely[k] = room * p
		}
	}
	return likely
}
