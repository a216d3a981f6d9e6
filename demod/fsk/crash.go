package fsk

import (
	"math"

	"ionoscribe/demod"
)

// lnHole is the log-probability that an element is in a hole: that the signal was away for a moment, and there is
// noise. The likelihoods are against noise alone, so that of a hole is 1. A hole has no tone, but by levels that hold
// for what is around it one of them would always seem surer than the other.
const lnHole = -9.2 // one element in ten thousand

// Ratio is the log-likelihood ratio of the first tone over the second of the element at g, as far as it was not in a hole, nor in
// a crash: excess is by how much the power of all that is heard was above the usual.
func (l *Levels) Ratio(g int64, excess float64) float64 {
	a, b := float64(l.Likely[Mark][g&GridMask]), float64(l.Likely[Space][g&GridMask])
	if excess > CrashRatio {
		hit := l.hit(g, excess)
		a, b = logSum(a, hit[Mark]), logSum(b, hit[Space])
	}
	hole := l.hole(g)
	return logSum(a, hole) - logSum(b, hole)
}

// hole is the log-likelihood of a hole. Where neither tone can be of the level of the half second around, a hole is as
// likely as a quick fade, which has to be deep.
//
// A signal whose level often jumps so has quick fades: what is seen of them makes the next one likelier to be one.
func (l *Levels) hole(g int64) float64 {
	fade := min(l.tone(g), 0) + math.Log(max(l.fades, math.Exp(lnHole))) - lnHole
	return min(lnHole-min(fade, 0), 0)
}

// tone is the log-likelihood of the likelier tone by the levels of the half second around.
func (l *Levels) tone(g int64) float64 {
	return float64(max(l.likelihood(Mark, g, g-l.width, g+l.width), l.likelihood(Space, g, g-l.width, g+l.width)))
}

// Fading notes whether there was a quick fade in a character that begins at g and is length grid points long.
func (l *Levels) Fading(g, length int64) {
	const memory = 60 // characters
	hit := 0.0
	for k := g; k < g+length; k += PerElement {
		if l.tone(k) < lnHole/3 {
			hit = 1
		}
	}
	l.fades += (hit - l.fades) / memory
}

// hit is the log-likelihood of either tone in noise that is so much stronger, against the usual noise alone. Whether a
// crash has hit the tones, or is another signal elsewhere, is as likely as not.
func (l *Levels) hit(g int64, excess float64) (likely [2]float64) {
	both := 0.0
	for k := range likely {
		level, noise := l.level(k, g-l.width, g+l.width)
		p, usual := l.power[k][g&GridMask], l.weight[g&GridMask]/noise
		w := min(usual, 1/(noise*float32(excess)))
		both += float64(p*(usual-w)) + math.Log(float64(w/usual))
		likely[k] = float64(demod.LogI0(2*demod.Sqrt32(level*p)*w) - level*w)
	}
	return [2]float64{likely[Mark] + both, likely[Space] + both}
}

// logSum is the logarithm of exp a + exp b.
func logSum(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	return a + math.Log1p(math.Exp(b-a))
}
