package cw

import (
	"math"
	"slices"
)

// coherence finds out whether the phase from mark to mark can be foretold, and how fast the amplitude swings: it
// compares what several carriers make of the marks that were received with what their envelope does.
type coherence struct {
	swings [len(swingRates)]swing
	at     [len(swingRates)]carrier
	gain   [len(swingRates)]float64 // mean log-likelihood ratio of a mark over that by the envelope, 0 at first
	weight float64                  // of the marks in that mean
	power  float64                  // mean of the marks
	last   int64                    // step at which the last one ended
	step   float64                  // base samples
	chosen int                      // -1: the envelope
}

// swingRates are in 1/s; see swing.
var swingRates = [...]float64{0.3, 0.6, 1.2, 2.4}

const (
	coherenceGain = 0.03
	swingPower    = 0.02
	leastCoherent = 0.4 // gain in nats a mark
	sureFading    = 0.6 // from which on the phase is heeded,
	leastFading   = 0.3 // and below which it is not any more
)

// start begins anew on a grid. It says whether the phase is to be heeded from there on, as it was before.
func (c *coherence) start(amplitude, step float64) bool {
	c.step, c.last = step, 0
	if c.chosen < 0 {
		c.power = amplitude * amplitude
		c.gain, c.weight = [len(swingRates)]float64{}, 0
	}
	c.set()
	for i := range c.at {
		c.at[i] = c.swings[i].unknown()
	}
	return c.chosen >= 0
}

func (c *coherence) set() {
	for i, r := range swingRates {
		c.swings[i].set(r*c.step/baseRate, c.power)
	}
}

// hear takes a mark that was received, in order.
func (c *coherence) hear(e *elements, end, steps int64, dash bool) {
	start := end - steps
	floor := float32(0)
	for n := start; n <= end; n++ {
		floor = max(floor, e.floor[n&(ring-1)])
	}
	envelope := float64(e.score(end, steps, floor, dash || e.inThirds, none))
	for i := range c.at {
		k := c.swings[i].after(c.at[i], max(0, start-c.last))
		sum := 0.0
		for n := start + 1; n <= end; n++ {
			z := e.sum[n&(ring-1)] - e.sum[(n-1)&(ring-1)]
			l := float32(e.step)
			sum += float64(k.hear(&c.swings[i], complex(real(z)/l, imag(z)/l), e.floor[n&(ring-1)]/l))
		}
		c.at[i] = k
		c.gain[i] += coherenceGain * (min(max(sum-envelope, -10), 10) - c.gain[i])
	}
	c.weight += coherenceGain * (1 - c.weight)
	c.last = end
	l := float64(steps) * e.step
	s := float64(abs(e.sum[end&(ring-1)] - e.sum[start&(ring-1)]))
	c.power += swingPower * (math.Max(0, s*s/(l*l)-e.noise/l) - c.power)
	c.power = math.Max(c.power, e.noise/(e.step*gridSteps))
}

// mean is what the best carrier gains on the average, in nats a mark.
func (c *coherence) mean() float64 { return slices.Max(c.gain[:]) / max(c.weight, coherenceGain) }

// choose says which carrier is the best; -1 if the envelope is, which a steady signal's is: there the errors of the
// pitch cost more than the phase tells.
func (c *coherence) choose(fading float64) int {
	c.set()
	if fading < leastFading || c.chosen < 0 && fading < sureFading {
		c.chosen = -1
		return -1
	}
	best := 0
	for i := range c.gain {
		if c.gain[i] > c.gain[best] {
			best = i
		}
	}
	switch {
	case c.gain[best] > leastCoherent:
		c.chosen = best
	case c.gain[best] < 0:
		c.chosen = -1
	case c.chosen >= 0:
		c.chosen = best
	}
	return c.chosen
}

// mark is one that was received, in steps of the grid.
type mark struct {
	end, steps int64
	dash       bool
}

// cohere has the phase heeded if that helps.
func (t *track) cohere() {
	for i := len(t.marks) - 1; i >= 0; i-- {
		m := t.marks[i]
		t.coherence.hear(&t.trellis.elements, m.end, m.steps, m.dash)
	}
	i := t.coherence.choose(float64(t.fading()))
	if i < 0 {
		t.trellis.phase = nil
		return
	}
	if t.trellis.phase == nil {
		t.heedPhase(t.trellis.n)
		if !t.passed && !t.phased && t.trellis.origin >= t.channel.out.first() {
			// Nothing is printed yet: once more from the beginning.
			t.phased, t.again, t.first = true, true, true
			t.probation.reset()
		}
	}
	t.carriers.swing = t.coherence.swings[i]
}

// heedPhase scores marks from a step on by their phase too.
func (t *track) heedPhase(from int64) {
	t.carriers.swing = t.coherence.swings[t.coherence.chosen]
	t.carriers.restart(from)
	t.trellis.phase = t.carriers
}
