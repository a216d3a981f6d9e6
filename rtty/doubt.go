package rtty

import (
	"math"

	"ionoscribe/demod"
)

// lnHole is the log-probability that an element is in a hole: that the signal was away for a moment, and there is
// noise. The likelihoods are against noise alone, so that of a hole is 1. A hole has no tone, but by levels that hold
// for what is around it one of them would always seem surer than the other.
const lnHole = -9.2 // one element in ten thousand

// doubted is the log-likelihood ratio for mark of the element at g, as far as it was not in a hole, nor in a crash:
// excess is by how much the power of all that is heard was above the usual.
func (r *trellis) doubted(l *levels, g int64, excess float64) float64 {
	m, s := r.tones(l)
	a, b := float64(m[g&gridMask]), float64(s[g&gridMask])
	if excess > crashRatio {
		hit := l.hit(g, excess)
		if r.inverted {
			hit[mark], hit[space] = hit[space], hit[mark]
		}
		a, b = logSum(a, hit[mark]), logSum(b, hit[space])
	}
	hole := l.hole(g)
	return logSum(a, hole) - logSum(b, hole)
}

// hole is the log-likelihood of a hole. Where neither tone can be of the level of the half second around, a hole is as
// likely as a quick fade, which has to be deep.
//
// A signal whose level often jumps so has quick fades: what is seen of them makes the next one likelier to be one.
func (l *levels) hole(g int64) float64 {
	fade := min(l.tone(g), 0) + math.Log(max(l.fades, math.Exp(lnHole))) - lnHole
	return min(lnHole-min(fade, 0), 0)
}

// tone is the log-likelihood of the likelier tone by the levels of the half second around.
func (l *levels) tone(g int64) float64 {
	return float64(max(l.likelihood(mark, g, g-l.width, g+l.width), l.likelihood(space, g, g-l.width, g+l.width)))
}

// fading notes whether there was a quick fade in a character that begins at g.
func (l *levels) fading(g, length int64) {
	const memory = 60 // characters
	hit := 0.0
	for k := g; k < g+length; k += perElement {
		if l.tone(k) < lnHole/3 {
			hit = 1
		}
	}
	l.fades += (hit - l.fades) / memory
}

// hit is the log-likelihood of either tone in noise that is so much stronger, against the usual noise alone. Whether a
// crash has hit the tones, or is another signal elsewhere, is as likely as not.
func (l *levels) hit(g int64, excess float64) (likely [2]float64) {
	both := 0.0
	for k := range likely {
		level, noise := l.level(k, g-l.width, g+l.width)
		p, usual := l.power[k][g&gridMask], l.weight[g&gridMask]/noise
		w := min(usual, 1/(noise*float32(excess)))
		both += float64(p*(usual-w)) + math.Log(float64(w/usual))
		likely[k] = float64(demod.LogI0(2*sqrt32(level*p)*w) - level*w)
	}
	return [2]float64{likely[mark] + both, likely[space] + both}
}

// missed is the likelihood that a letters or a figures shift before a character was not seen, against mark all the time
// between it and the one before: of the likeliest place, for each that there is room for.
func (c *channel) missed(f frame, h *front) (likely [2]float64) {
	r, l := c.trellis[0], &c.levels
	if f.extra < r.length-perElement || r.units != 5 {
		return likely
	}
	first := max(f.start-f.extra, r.at-gridSize/2)
	best := [2]float64{math.Inf(-1), math.Inf(-1)}
	for g := first; g+r.length-perElement <= f.start; g += perElement / 4 {
		start := -r.doubted(l, g, c.excess(h, g))
		best[Letters] = max(best[Letters], start)
		// The third unit of a figures shift is space too.
		third := g + 3*perElement
		best[Figures] = max(best[Figures], start-r.doubted(l, third, c.excess(h, third)))
	}
	room := float64(f.extra) / float64(r.length)
	for k := range likely {
		if p := math.Exp(min(best[k], 0)); p > clearly {
			likely[k] = room * p
		}
	}
	return likely
}

// excess is the excess of power in an element.
func (c *channel) excess(h *front, g int64) float64 { return h.excess(c.time(g), c.time(g+perElement)) }

// logSum is the logarithm of exp a + exp b.
func logSum(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	return a + math.Log1p(math.Exp(b-a))
}
