package cw

import "math"

// copier copies a signal whose speed is known: it takes the trellis over the signal, decides some characters late, and
// learns from each how the sender keys.
type copier struct {
	src       *series
	noise     float64 // variance of a base sample
	trellis   *trellis
	posterior *posterior
	learner   learner
	trust     float64 // mean confidence of the last characters
	chars     []found
	done      int64 // step of the grid where the last character ended that was decided; -1: none did
	respaced  int64 // step up to which the trellis has told words by other lengths of gaps
	beginning beginning
}

// beginning is the state of the beginning of what is copied.
type beginning struct {
	amplitude float64 // when the speed was found
	unprinted bool    // nothing was printed since: the gap before a character tells nothing
	settled   bool    // it has been printed, and is not copied again
	again     bool    // it is to be copied again, as the phase is used now
	restarted bool    // it has been copied again
}

// copied is a character with what is known of it.
type copied struct {
	found
	sure     float64    // confidence of the character, and that no gap between words was missed before it
	isWord   float64    // probability that the gap before it is one between words
	respaced bool       // the gaps before are to be told into words anew,
	spacing  gapLengths // by these lengths
}

const (
	lagDots    = 32 // after which a character is decided: eight characters have followed, which settle it
	decideDots = 4  // between decisions

	edgeEnergy = 90  // edges count as noise of 1/90 of a signal's energy in a dot (own choice)
	leastSure  = 0.5 // of a character that the sender is learnt from
	likelier   = 0.5 // probability from which on something is more likely than not

	leastNoise = 1e-14 // variance of a base sample in digital silence; the noise of 16 bits has 1e-11

	trustGain = 0.15 // of a character in the mean confidence: of seven characters
)

func newCopier(src *series, p *posterior, plainLanguage bool) *copier {
	return &copier{src: src, posterior: p, trellis: newTrellis(plainLanguage), learner: learner{marks: markStatistics{last: make([]mark, 0, MaxElements)}}}
}

// reset forgets the signal.
func (c *copier) reset() {
	c.learner.marks.unsteady = unsteadyAtFirst
	c.trellis.expect.reset()
	c.done, c.beginning.unprinted, c.beginning.settled = -1, true, false
}

// start begins at the speed that was found, with the signal since a base sample.
func (c *copier) start(e evidence, since float64) {
	c.trust = 1
	c.beginning.again, c.beginning.restarted, c.beginning.amplitude = false, false, e.amplitude
	c.learner.marks.decay, c.learner.marks.power = 0, e.amplitude*e.amplitude
	c.learner.phase.chosen = byEnvelope
	c.trellis.expect.reset()
	c.learner.sender = newSender(e.dot)
	c.learner.sender.spread = e.spread
	c.begin(since, e.amplitude)
}

// change goes on at another speed since a base sample. Whoever sends characters far apart does so at any speed.
func (c *copier) change(e evidence, since float64) {
	wide, dot := c.learner.sender.gaps(), c.learner.sender.mean[dotLength]
	c.learner.sender = newSender(e.dot)
	c.learner.sender.spread = e.spread
	c.learner.sender.mean[characterLength], c.learner.sender.mean[wordLength] = wide.character*e.dot/dot, wide.word*e.dot/dot
	if c.done >= 0 {
		since = max(since, c.base(c.done))
	}
	c.begin(since, e.amplitude)
	c.trust = 1
}

// restart copies the beginning once more.
func (c *copier) restart() {
	c.beginning.again = false
	c.trellis.expect.reset()
	c.begin(c.trellis.elements.grid.origin, c.beginning.amplitude)
}

// begin starts the trellis at a base sample.
func (c *copier) begin(since, amplitude float64) {
	c.learner.gaps.reset()
	c.respaced = 0
	dot := c.learner.sender.mean[dotLength]
	step := dot / gridSteps
	e := &c.trellis.elements
	e.grid.excess, e.grid.cell = float32(dot/edgeEnergy), gridSteps
	e.kinds = usualKinds()
	e.set(&c.learner.sender, step)
	e.level = newLevel(c.learner.marks.fading())
	c.trellis.begin(c.src, since, step, c.noise, amplitude)
	e.carrier = nil
	if c.learner.phase.start(amplitude, step) {
		c.learner.usePhase(e, 0)
	}
	c.done = -1
}

// base is the base sample of a step of the grid.
func (c *copier) base(step int64) float64 {
	g := &c.trellis.elements.grid
	return g.origin + float64(step)*g.step
}

// next takes the next step of the grid; ok is false if the signal for it is not there.
func (c *copier) next() (ok bool) {
	if ok = c.trellis.elements.ready(); ok {
		c.trellis.next()
	}
	return ok
}

// due says up to which step characters are to be decided now, if any are.
func (c *copier) due() (until int64, ok bool) {
	n := c.trellis.elements.n
	return n - lagDots*gridSteps, n%(decideDots*gridSteps) == 0
}

// decide lists the characters that ended up to a step of the grid and were not decided before, the last one first.
func (c *copier) decide(until int64) []found {
	c.chars = c.trellis.path(c.chars[:0], c.done, until)
	if len(c.chars) == 0 || c.chars[0].start <= c.done {
		return nil
	}
	c.posterior.look(c.trellis)
	return c.chars
}

// copy decides a character and learns from it. If then again is true, the beginning must be copied once more.
func (c *copier) copy(f found) copied {
	h := copied{found: f, sure: c.posterior.of(c.trellis, f), isWord: c.trellis.isWord(f)}
	if f.start < c.respaced {
		h.word = h.isWord > likelier
	}
	if !h.word {
		h.sure *= 1 - h.isWord
	}
	if h.spacing, h.respaced = c.learner.learn(c.trellis, &h, &c.beginning); h.respaced {
		c.respaced = c.trellis.elements.n
	}
	c.done = f.end
	if !c.beginning.again {
		c.trust += trustGain * (h.sure - c.trust)
	}
	return h
}

// state is what is known of the signal.
func (c *copier) state() State {
	s := &c.learner.sender
	return State{
		Receiving: true, WPM: c.learner.wpm(), SNR: 10 * math.Log10(c.learner.marks.power/c.noise*baseRate/noiseHz),
		Weighting: s.weighting(), DashRatio: s.mean[dashLength] / s.mean[dotLength],
	}
}

// setNoise takes the variance of a band sample.
func (c *copier) setNoise(variance float64) { c.noise = max(variance/decimation, leastNoise) }

// conduct gives mark statistics when a character ends, where so many pitches are rejected.
func (c *copier) conduct(h copied, rejecting int) conduct {
	a := float64(c.trellis.elements.rows.markAmp[h.end&(ring-1)])
	return conduct{
		unsteady: c.learner.marks.unsteady, coherence: c.learner.phase.mean(), sure: h.sure, decay: c.learner.marks.decay, misfit: c.learner.sender.misfit,
		loose: c.learner.sender.loose(), dotEnergy: a * a * c.learner.sender.mean[dotLength] / c.noise,
		rejecting: float64(rejecting),
	}
}

// respace finds whether other lengths of gaps explain all much better, and goes on with them.
func (c *copier) respace() (spacing gapLengths, found bool) {
	if spacing, found = c.learner.respace(c.trellis); found {
		c.respaced = c.trellis.elements.n
	}
	return spacing, found
}
