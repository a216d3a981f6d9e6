package cw

import "math"

// learn adapts to the sender by a character that was received. If the gaps before it are to be told into words anew, it
// returns the lengths by which.
func (c *copier) learn(h *copied) (spacing gapLengths, respaced bool) {
	weight := 1.0
	if h.sure < leastSure {
		weight = 0
	}
	e := &c.trellis.elements
	c.marks.begin()
	c.trellis.parts(h.found, func(l length, end, steps int64) {
		c.sender.hear(l, float64(steps)*e.grid.step, weight)
		if l != gapLength {
			c.marks.hear(e, mark{end, steps, l == dashLength})
		}
	})
	c.learnPhase()
	e.level = newLevel(c.marks.fading())
	c.trellis.expect.hearSign(h.found, weight*h.sure)
	if h.from >= 0 && !c.beginning.unprinted {
		spacing, respaced = c.learnGap(h, weight)
	}
	e.set(&c.sender, e.grid.step)
	return spacing, respaced
}

// learnPhase uses the phase of marks if that helps.
func (c *copier) learnPhase() {
	e, p := &c.trellis.elements, &c.phase
	for i := len(c.marks.last) - 1; i >= 0; i-- {
		p.hear(e, c.marks.last[i])
	}
	p.choose(float64(c.marks.fading()))
	if p.chosen == byEnvelope {
		e.carrier = nil
		return
	}
	if e.carrier == nil {
		c.usePhase(e.n)
		if !c.beginning.settled && !c.beginning.restarted && e.grid.origin >= c.src.first() {
			c.beginning.restarted, c.beginning.again, c.beginning.unprinted = true, true, true
		}
	}
	p.carriers.swing = p.swings[p.chosen]
}

// usePhase scores marks from a step on by their phase too.
func (c *copier) usePhase(from int64) {
	p := &c.phase
	p.carriers.swing = p.swings[p.chosen]
	p.carriers.restart(from)
	c.trellis.elements.carrier = &p.carriers
}

// learnGap learns from the gap before a character.
func (c *copier) learnGap(h *copied, weight float64) (spacing gapLengths, respaced bool) {
	x := float64(h.start-h.from) * c.trellis.elements.grid.step
	word := c.trellis.isWord(h.found)
	c.sender.hear(characterLength, x, weight*(1-word))
	c.sender.hear(wordLength, x, weight*word)
	ifWord, ifCharacter := c.trellis.gapLikelihoods(h.found)
	c.trellis.expect.hearGap(h.found, ifWord, ifCharacter, word)
	if !c.gaps.hear(x) {
		return spacing, false
	}
	inWord := 1
	if !h.word {
		inWord += int(h.length)
	}
	return c.relearn(inWord)
}

// relearn looks at all gaps together, takes other lengths for those of the sender if they are much better, and finds out
// whether words are groups that fit what is taken for the characters of this word.
func (c *copier) relearn(inWord int) (spacing gapLengths, respaced bool) {
	const slip = 0.01 // probability that the characters of this word were counted wrongly
	if c.gaps.heard >= gapsEnough && c.gaps.heard%gapsSeldom == 0 {
		spacing, respaced = c.respace()
	}
	if !respaced {
		c.gaps.usual = looser * c.sender.spread[gapLength]
		c.sender.setGaps(c.gaps.refine(c.sender.gaps(), refineRounds))
		if c.sender.spread[characterLength] < looseGaps {
			return spacing, false
		}
	}
	c.gaps.weigh(c.sender.gaps())
	c.trellis.expect.words.weigh(func(k int) float64 {
		logP, after := c.gaps.explain(k)
		if k > 0 {
			logP += math.Log(after[min(inWord, longestWord)] + slip)
		}
		return logP
	})
	return spacing, respaced
}

// respace takes other lengths for those of the sender if they explain all gaps much better.
func (c *copier) respace() (l gapLengths, found bool) {
	c.gaps.usual = looser * c.sender.spread[gapLength]
	if l, found = c.gaps.better(c.sender.gaps()); !found {
		return l, false
	}
	e := &c.trellis.elements
	c.sender.setGaps(l)
	c.trellis.expect.reset()
	e.set(&c.sender, e.grid.step)
	c.respaced = e.n
	return l, true
}
