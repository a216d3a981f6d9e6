package cw

import (
	"math"

	"ionoscribe/demod"
)

// level is how the amplitude of a signal is expected to change from mark to mark.
type level struct {
	logWeaker        float32 // logarithm of the probability of half the amplitude, and again for a quarter and so on
	gain, gainStrong float32 // how much a mark changes the level if it is weak, and what is added if it is strong
}

const (
	weaker     = 0.5 // from one amplitude that is tried to the next
	leastHeard = 4   // energy over the noise of a part of a mark below which weaker ones are not told apart (own choice)

	// Own choice: a steady signal's level hardly drops, a fading one's often does, and is followed faster.
	steadyWeaker, fadingWeaker = -8, -8 + 6.2 // nats
	steadyGain, fadingGain     = 0.05, 0.05 + 0.1
	strongGain                 = 0.4  // in fading, of a mark that is far stronger than the noise:
	strongEnergyOfMark         = 80.0 // half of that at this energy over the noise

	// A mark counts as weaker or stronger than the level by so much at most, in power: what is more is an error.
	leastRatio, mostRatio = 0.1, 6
)

// newLevel is that of a signal that fades: 0 is steady, 1 fading as fast as it can be followed.
func newLevel(fading float32) level {
	return level{
		logWeaker:  steadyWeaker + (fadingWeaker-steadyWeaker)*fading,
		gain:       steadyGain + (fadingGain-steadyGain)*fading,
		gainStrong: strongGain * fading,
	}
}

// weigh is the log-likelihood of a mark in one part by x = 2a|S|/n and its energy over the noise, of the amplitude that is
// expected or a weaker one.
func (l *level) weigh(x, energy float32) float32 {
	best, logP := demod.LogI0(x)-energy, float32(0)
	for {
		x, energy, logP = x*weaker, energy*weaker*weaker, logP+l.logWeaker
		v := demod.LogI0(x) - energy + logP
		if v < best || energy < leastHeard { // there is one maximum
			return max(best, v)
		}
		best = v
	}
}

// weighThirds is the same of a mark in three parts.
func (l *level) weighThirds(x1, x2, x3, energy float32) float32 {
	best, logP := demod.LogI0(x1)+demod.LogI0(x2)+demod.LogI0(x3)-energy, float32(0)
	for {
		x1, x2, x3, energy, logP = x1*weaker, x2*weaker, x3*weaker, energy*weaker*weaker, logP+l.logWeaker
		v := demod.LogI0(x1) + demod.LogI0(x2) + demod.LogI0(x3) - energy + logP
		if v < best || energy < 3*leastHeard {
			return max(best, v)
		}
		best = v
	}
}

// score is the log-likelihood of a mark of d steps that ends at step n, in three parts of any phase or with a steady one:
// none if it is not above what is useful. Of an amplitude a it is the sum of ln I0(2a|S|/n) over its parts, S their sums and
// n the noise, less its energy a²L/n, L its length: see demod.LogI0.
func (e *elements) score(n, d int64, noise float32, inThirds bool, useful float32) float32 {
	a, l := e.rows.gapAmp[(n-d)&(ring-1)], float32(d)*float32(e.grid.step)
	s0, s3 := e.grid.sum[(n-d)&(ring-1)], e.grid.sum[n&(ring-1)]
	// As ln I0(x) <= x, it is at most (Σ|S|)²/nL, whatever a is, and that of three parts is at most 3Σ|S|²/nL.
	if !inThirds {
		s := demod.Power(s3 - s0)
		if s <= useful*noise*l {
			return none
		}
		return e.level.weigh(2*a*sqrt(s)/noise, a*a*l/noise)
	}
	s1, s2 := e.grid.sum[(n-d+d/3)&(ring-1)], e.grid.sum[(n-d/3)&(ring-1)]
	p1, p2, p3 := demod.Power(s1-s0), demod.Power(s2-s1), demod.Power(s3-s2)
	if 3*(p1+p2+p3) <= useful*noise*l {
		return none
	}
	x := 2 * a / noise
	return e.level.weighThirds(x*sqrt(p1), x*sqrt(p2), x*sqrt(p3), a*a*l/noise)
}

// levelAfter is the amplitude after a mark of d steps. The more clearly the mark is heard, the more it counts.
func (e *elements) levelAfter(n, d int64) float32 {
	from := n - d
	a, noise := e.rows.gapAmp[from&(ring-1)], e.grid.floor[n&(ring-1)]
	for i := from; i < n; i++ {
		noise = max(noise, e.grid.floor[i&(ring-1)])
	}
	l := float32(d) * float32(e.grid.step)
	s := abs(e.grid.between(from, n))
	p := max(0, s*s/(l*l)-noise/l)
	energy := a * a * l / noise
	gain := e.level.gain + e.level.gainStrong*energy/(energy+strongEnergyOfMark)
	ratio := min(max(p/(a*a), leastRatio), mostRatio)
	least := float32(e.grid.noise) / (float32(e.grid.step) * gridSteps) // a dot as strong as the noise
	return max(a*float32(math.Pow(float64(ratio), float64(gain/2))), sqrt(least))
}

// stray is the square of the step of the level at a mark, in nats of amplitude, without what noise makes of it.
func (e *elements) stray(n, d int64) float64 {
	const most = 1 // nats; what is more is an error
	a := float64(e.rows.gapAmp[(n-d)&(ring-1)])
	noise, l := float64(e.grid.floor[n&(ring-1)]), float64(d)*e.grid.step
	s := float64(abs(e.grid.between(n-d, n)))
	if a <= 0 {
		return 0
	}
	energy := a * a * l / noise
	r := min(max(math.Log(max(s*s/(l*l)-noise/l, 1e-30)/(a*a))/2, -most), most) // 1e-30 keeps it finite
	return r*r - 1/(2*energy)
}

// middle is the power in the middle third of a mark, which no edge weakens, without the noise.
func (e *elements) middle(n, d int64) float64 { return e.grid.powerBetween(n-d+d/3, n-d/3) }

// decay is by how much the last third of a mark is weaker than the first, in nats of amplitude.
func (e *elements) decay(n, d int64) float64 {
	const most, smallest = 1.5, 1e-20
	first := abs(e.grid.between(n-d, n-d+d/3))
	last := abs(e.grid.between(n-d/3, n))
	return min(max(math.Log(float64((first+smallest)/(last+smallest))), -most), most)
}
