package cw

import "slices"

// coherence finds out whether the phase can be predicted from mark to mark, and how fast the amplitude swings: it compares
// the likelihood of the marks that were received by several carriers with that by their envelope.
type coherence struct {
	swings [len(swingRates)]swing
	at     [len(swingRates)]carrier
	gain   [len(swingRates)]float64 // mean log-likelihood ratio of a mark over that by the envelope, 0 at first
	weight float64                  // of the marks in that mean
	power  float64                  // mean of the marks
	last   int64                    // step at which the last one ended
	step   float64                  // base samples
	chosen int                      // index of the carrier that is used; byEnvelope: none
}

const byEnvelope = -1

// swingRates are in 1/s; see swing. They are those of Doppler spreads of 0.1 to 0.8 Hz, doubled from one to the next; the
// channels of ITU-R F.1487 in middle latitudes have 0.1 to 1 Hz.
var swingRates = [...]float64{0.3, 0.6, 1.2, 2.4}

const (
	coherenceGain = 0.03 // of the mean gain, a mark: 33 marks, seven characters or so
	swingPower    = 0.02 // of the mean power, a mark: 50 marks
	mostGain      = 10.0 // nats that a single mark counts for at most, as it may be an error

	// Own choice: in a steady signal the errors of the pitch cost more than the phase tells.
	leastCoherent = 0.4 // gain in nats a mark from which on the phase is used
	sureFading    = 0.6 // degree of fading from which on it is used,
	leastFading   = 0.3 // and below which it is not any more
)

// start begins anew on a grid. It says whether the phase is used from there on, as it was before.
func (c *coherence) start(amplitude, step float64) bool {
	c.step, c.last = step, 0
	if c.chosen == byEnvelope {
		c.power = amplitude * amplitude
		c.gain, c.weight = [len(swingRates)]float64{}, 0
	}
	c.setSwings()
	for i := range c.at {
		c.at[i] = c.swings[i].unknown()
	}
	return c.chosen != byEnvelope
}

func (c *coherence) setSwings() {
	for i, r := range swingRates {
		c.swings[i].set(r*c.step/baseRate, c.power)
	}
}

// hear takes a mark that was received, in order.
func (c *coherence) hear(e *elements, m mark) {
	start, g := m.end-m.steps, &e.grid
	floor := float32(0)
	for n := start; n <= m.end; n++ {
		floor = max(floor, g.floor[n&(ring-1)])
	}
	envelope := float64(e.score(m.end, m.steps, floor, m.dash || e.thirds, none))
	for i := range c.at {
		k := c.swings[i].after(c.at[i], max(0, start-c.last))
		sum := 0.0
		for n := start + 1; n <= m.end; n++ {
			sum += float64(k.hear(&c.swings[i], g.mean(n), g.floor[n&(ring-1)]/float32(g.step)))
		}
		c.at[i] = k
		c.gain[i] += coherenceGain * (min(max(sum-envelope, -mostGain), mostGain) - c.gain[i])
	}
	c.weight += coherenceGain * (1 - c.weight)
	c.last = m.end
	c.power += swingPower * (g.powerBetween(start, m.end) - c.power)
	c.power = max(c.power, g.noise/(g.step*gridSteps)) // a dot as strong as the noise
}

// mean is the mean gain of the best carrier, in nats a mark.
func (c *coherence) mean() float64 { return slices.Max(c.gain[:]) / max(c.weight, coherenceGain) }

// choose chooses between the carriers and the envelope by what they have gained and the degree of fading.
func (c *coherence) choose(fading float64) {
	c.setSwings()
	if fading < leastFading || c.chosen == byEnvelope && fading < sureFading {
		c.chosen = byEnvelope
		return
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
		c.chosen = byEnvelope
	case c.chosen != byEnvelope:
		c.chosen = best
	}
}

// mark is one that was received, in steps of the grid.
type mark struct {
	end, steps int64
	dash       bool
}
