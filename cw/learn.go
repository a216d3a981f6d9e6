package cw

import "math"

// learner learns from the characters that were copied how the sender keys and how the signal fades.
type learner struct {
	sender sender
	gaps   gaps
	marks  markStatistics
	phase  phase
}

// phase is whether and how the phase of marks is used.
type phase struct {
	coherence
	carriers carriers
}

// learn adapts the trellis to the sender by a character that was received, and has the beginning copied again if the phase is
// used from now on. If the gaps before the character are to be divided into words anew, it returns the lengths by which.
func (l *learner) learn(t *trellis, h *copied, b *beginning) (spacing gapLengths, respaced bool) {
	weight := 1.0
	if h.sure < leastSure {
		weight = 0
	}
	e := &t.elements
	l.marks.begin()
	t.parts(h.found, func(class length, end, steps int64) {
		l.sender.hear(class, float64(steps)*e.grid.step, weight)
		if class != gapLength {
			l.marks.hear(e, mark{end, steps, class == dashLength})
		}
	})
	l.learnPhase(e, b)
	e.level = newLevel(l.marks.fading())
	t.expect.hearSign(h.found, weight*h.sure)
	if h.from >= 0 && !b.unprinted {
		spacing, respaced = l.learnGap(t, h, weight)
	}
	e.set(&l.sender, e.grid.step)
	return spacing, respaced
}

// learnPhase uses the phase of marks if that helps.
func (l *learner) learnPhase(e *elements, b *beginning) {
	p := &l.phase
	for i := len(l.marks.last) - 1; i >= 0; i-- {
		p.hear(e, l.marks.last[i])
	}
	p.choose(float64(l.marks.fading()))
	if p.chosen == byEnvelope {
		e.carrier = nil
		return
	}
	if e.carrier == nil {
		l.usePhase(e, e.n)
		if !b.settled && !b.restarted && e.grid.origin >= e.grid.src.first() {
			b.restarted, b.again, b.unprinted = true, true, true
		}
	}
	p.carriers.swing = p.swings[p.chosen]
}

// usePhase scores marks from a step on by their phase too.
func (l *learner) usePhase(e *elements, from int64) {
	p := &l.phase
	p.carriers.swing = p.swings[p.chosen]
	p.carriers.restart(from)
	e.carrier = &p.carriers
}

// learnGap learns from the gap before a character.
func (l *learner) learnGap(t *trellis, h *copied, weight float64) (spacing gapLengths, respaced bool) {
	x := float64(h.start-h.from) * t.elements.grid.step
	word := t.isWord(h.found)
	l.sender.hear(characterLength, x, weight*(1-word))
	l.sender.hear(wordLength, x, weight*word)
	ifWord, ifCharacter := t.gapLikelihoods(h.found)
	t.expect.hearGap(h.found, ifWord, ifCharacter, word)
	if !l.gaps.hear(x) {
		return spacing, false
	}
	inWord := 1
	if !h.word {
		inWord += int(h.length)
	}
	return l.relearn(t, inWord)
}

// relearn looks at all gaps together, takes other lengths for those of the sender if they are much better, and finds out
// whether words are groups that fit what is taken for the characters of this word.
func (l *learner) relearn(t *trellis, inWord int) (spacing gapLengths, respaced bool) {
	const slip = 0.01 // probability that the characters of this word were counted wrongly
	if l.gaps.heard >= gapsEnough && l.gaps.heard%gapsSeldom == 0 {
		spacing, respaced = l.respace(t)
	}
	if !respaced {
		l.gaps.usual = looser * l.sender.spread[gapLength]
		l.sender.setGaps(l.gaps.refine(l.sender.gaps(), refineRounds))
		if l.sender.spread[characterLength] < looseGaps {
			return spacing, false
		}
	}
	l.gaps.weigh(l.sender.gaps())
	t.expect.words.weigh(func(k int) float64 {
		logP, after := l.gaps.explain(k)
		if k > 0 {
			logP += math.Log(after[min(inWord, longestWord)] + slip)
		}
		return logP
	})
	return spacing, respaced
}

// respace takes other lengths for those of the sender if they explain all gaps much better.
func (l *learner) respace(t *trellis) (spacing gapLengths, found bool) {
	l.gaps.usual = looser * l.sender.spread[gapLength]
	if spacing, found = l.gaps.better(l.sender.gaps()); !found {
		return spacing, false
	}
	l.sender.setGaps(spacing)
	t.expect.reset()
	t.elements.set(&l.sender, t.elements.grid.step)
	return spacing, true
}

// wpm is the speed in words a minute.
func (l *learner) wpm() float64 { return WPM(l.sender.dot() / baseRate) }

// The odds of a confidence lose up to half their power in fading: a fade within a mark is like a gap, which the envelope
// does not know of (measured by grade cw, mid-moderate, 10 dB).
const fadedOdds = 0.5

// faded is a confidence as fading leaves it.
func (l *learner) faded(sure float64) float64 {
	if l.phase.chosen != byEnvelope {
		return sure
	}
	power := 1 - fadedOdds*float64(l.marks.fading())
	right, wrong := math.Pow(sure, power), math.Pow(max(0, 1-sure), power)
	return right / (right + wrong)
}

// struck says whether marks die away as notes of music do. Fading weakens as many as it strengthens, and its phase goes on
// from mark to mark.
func (l *learner) struck() bool {
	const most = 0.35 // nats of amplitude, in two thirds of a dash: 3 dB (own choice)
	return l.phase.chosen == byEnvelope && l.marks.decay > most
}
