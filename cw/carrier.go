package cw

import (
	"math"

	"ionoscribe/demod"
)

// carrier predicts a signal's complex amplitude from a row of marks: a Kalman filter of two states, the amplitude and its
// change, so that the prediction may pass through zero.
type carrier struct {
	h, v    complex64 // amplitude, and its change in a grid step
	p, c, w float32   // variance of h, covariance, variance of v
}

// swing is how the amplitude is expected to move: like white noise through a critically damped resonance of second
// order, b its rate in a grid step,
//
//	h" + 2b h' + b²h = noise
//
// whose mean power is that of the marks; the mean power of its change is b² times that. Fading with a Doppler spread of 2s,
// two standard deviations of its spectrum, has (2πs)² times that, so b = 2πs. (Critically damped oscillator as a stochastic
// process: Gelb, Applied Optimal Estimation, from memory.)
type swing struct {
	b, power         float64
	hh, hv, vh, vv   float32 // transition in a step
	addP, addC, addW float32 // variances that a step adds
}

// set chooses the rate and the power.
func (s *swing) set(b, power float64) {
	s.b, s.power = b, power
	s.hh, s.hv, s.vh, s.vv, s.addP, s.addC, s.addW = s.over(1)
}

// over returns the transition over so many steps and the variances that it adds, which keep the stationary ones the same.
func (s *swing) over(steps float64) (hh, hv, vh, vv, addP, addC, addW float32) {
	x := s.b * steps
	f := math.Exp(-x)
	a, b, c, d := f*(1+x), f*steps, -f*s.b*x, f*(1-x)
	p, w := s.power, s.power*s.b*s.b
	return float32(a), float32(b), float32(c), float32(d),
		float32(p - a*a*p - b*b*w), float32(-a*c*p - b*d*w), float32(w - c*c*p - d*d*w)
}

// unknown is the carrier before any mark.
func (s *swing) unknown() carrier {
	return carrier{p: float32(s.power), w: float32(s.power * s.b * s.b)}
}

// after is the prediction so many steps later, in a gap.
func (s *swing) after(k carrier, steps int64) carrier {
	return k.moved(s.over(float64(steps)))
}

func (k carrier) moved(hh, hv, vh, vv, addP, addC, addW float32) carrier {
	return carrier{
		h: complex(hh*real(k.h)+hv*real(k.v), hh*imag(k.h)+hv*imag(k.v)),
		v: complex(vh*real(k.h)+vv*real(k.v), vh*imag(k.h)+vv*imag(k.v)),
		p: hh*hh*k.p + 2*hh*hv*k.c + hv*hv*k.w + addP,
		c: hh*vh*k.p + (hh*vv+hv*vh)*k.c + hv*vv*k.w + addC,
		w: vh*vh*k.p + 2*vh*vv*k.c + vv*vv*k.w + addW,
	}
}

// hear updates the carrier by the mean z over the next step of a mark, in noise of a variance, and returns the
// log-likelihood of z over that of noise alone.
func (k *carrier) hear(s *swing, z complex64, noise float32) float32 {
	*k = k.moved(s.hh, s.hv, s.vh, s.vv, s.addP, s.addC, s.addW)
	sum := k.p + noise
	off := z - k.h
	gain, gainV := k.p/sum, k.c/sum
	k.h += complex(gain*real(off), gain*imag(off))
	k.v += complex(gainV*real(off), gainV*imag(off))
	k.w -= gainV * k.c
	k.c *= 1 - gain
	k.p *= 1 - gain
	return demod.Power(z)/noise - demod.Power(off)/sum - float32(math.Log(float64(sum/noise)))
}

// carriers are those of the rows of marks and gaps, in rings by the step where the mark or gap ends.
type carriers struct {
	swing
	from      int64 // step from which on they are known; marks that begin before are scored without
	mark, gap [ring]carrier
	now       [ring]carrier // of the mark that began here and still goes on
	score     [ring]float32 // of that mark so far
	pause     carrier       // of the row that has paused, when its last mark ended
	pauseAt   int64
}

// restart forgets everything.
func (c *carriers) restart(from int64) {
	c.from = from
	u := c.unknown()
	for i := range c.mark {
		c.mark[i], c.gap[i] = u, u
	}
	c.pause, c.pauseAt = u, from
}

// begin predicts a mark that begins at step n, after a gap since the step from; negative: after a pause.
func (c *carriers) begin(n, from int64) {
	r := n & (ring - 1)
	if from < 0 {
		c.gap[r] = c.after(c.pause, n-c.pauseAt)
	} else {
		c.gap[r] = c.after(c.mark[from&(ring-1)], n-from)
	}
	c.now[r], c.score[r] = c.gap[r], 0
}

// goOn takes the mean z of another step into the mark that began at a step, and returns its score so far.
func (c *carriers) goOn(start int64, z complex64, noise float32) float32 {
	i := start & (ring - 1)
	c.score[i] += c.now[i].hear(&c.swing, z, noise)
	return c.score[i]
}

// endMark keeps the carrier of the mark between two steps.
func (c *carriers) endMark(start, end int64) {
	if start >= c.from {
		c.mark[end&(ring-1)] = c.now[start&(ring-1)]
	}
}

// startPause makes the row whose mark ended at a step the one that has paused.
func (c *carriers) startPause(end int64) {
	c.pause, c.pauseAt = c.mark[end&(ring-1)], end
}
