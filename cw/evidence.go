package cw

import "math"

// evidence of text in what a track receives, in nats or what is like them, added up from character to character:
// whether they are such as are sent, how sure they are, and whether the marks are those of one transmitter.
type textEvidence struct {
	sum           float64
	groups, plain float64    // log-likelihood of the characters, as groups and as plain language
	marks, ends   [2]float64 // of the elements: dots and dashes; those that go on and those that end a character
}

const (
	passes      = 4.5 // evidence that is enough to print what is held,
	passesLater = 1.5 // so much more after each failure,
	passesAmong = 0.4 // and so much for each rejection that is in force,
	mostAmong   = 6.0 // up to this
	passesEnded = 3.5 // what is enough instead if the signal has ended
	fails       = -3.0
	mostHeld    = 30 // characters; then it fails as well
	mostText    = 12.0

	elementMemory = 1 - 1./150
)

// letterPercent is how often each letter from A to Z comes in English (R. E. Lewand, Cryptological Mathematics, 2000,
// from memory).
var letterPercent = [26]float64{8.2, 1.5, 2.8, 4.3, 12.7, 2.2, 2.0, 6.1, 7.0, 0.15, 0.8, 4.0, 2.4, 6.7, 7.5, 1.9, 0.1, 6.0, 6.3, 9.1, 2.8, 1.0, 2.4, 0.15, 2.0, 0.07}

// plainShare is that of figures and signs in plain language is 1 less this (own estimate).
const plainShare = 0.9

func (e *textEvidence) reset() {
	// Half an element of each kind to begin with (R. E. Krichevsky and V. K. Trofimov, IEEE Trans. IT-27, 1981).
	*e = textEvidence{groups: math.Log(0.5), plain: math.Log(0.5), marks: [2]float64{0.5, 0.5}, ends: [2]float64{0.5, 0.5}}
}

// hear takes a character with its confidence.
func (e *textEvidence) hear(n *node, sure float64) {
	before := logSum(e.groups, e.plain)
	e.groups += float64(n.logP)
	if s, ok := Lookup(n.pattern); ok && n.kind == letter {
		e.plain += math.Log(plainShare * letterPercent[s.Text[0]-'A'] / 100)
	} else {
		e.plain += float64(n.logP) - 1
	}
	now := logSum(e.groups, e.plain)
	e.groups, e.plain = e.groups-now, e.plain-now // one is never far behind the other
	e.groups, e.plain = max(e.groups, -6), max(e.plain, -6)
	gain := now - before - e.anyElements(n.pattern)
	e.sum += min(max(gain, -2), 1.5) + min(max(sureWeight*(sure-usuallySure), -1), 0.6)
	e.sum = min(e.sum, mostText)
}

const (
	sureWeight  = 3.0
	usuallySure = 0.8
)

// anyElements is the log-likelihood of a pattern if dots and dashes follow without a meaning, a character ending
// anywhere, how often being learnt.
func (e *textEvidence) anyElements(p Pattern) (sum float64) {
	learn := func(x *[2]float64, i int) {
		sum += math.Log(x[i] / (x[0] + x[1]))
		x[0], x[1] = x[0]*elementMemory, x[1]*elementMemory
		x[i]++
	}
	for i := range p.Len() {
		if p.Dash(i) {
			learn(&e.marks, 1)
		} else {
			learn(&e.marks, 0)
		}
		if i == p.Len()-1 {
			learn(&e.ends, 1)
		} else {
			learn(&e.ends, 0)
		}
	}
	return sum
}

func logSum(a, b float64) float64 {
	m := max(a, b)
	return m + math.Log(math.Exp(a-m)+math.Exp(b-m))
}

// conduct is the evidence of a character by its marks. A level that strays from mark to mark is fading, in which the
// phase goes on, or no transmitter, unless characters are sure even so, as when the pitch drifts; and then what is strong
// is to be clear too. Marks that die away are notes. And where
// much was no Morse, more is asked of what seems to be.
func (t *track) conduct(c found, sure float64) float64 {
	coherent := t.coherence.gain[0]
	for _, g := range t.coherence.gain {
		coherent = max(coherent, g)
	}
	strays := min(max((t.unsteady-leastStray)/(mostStray-leastStray), 0), 1)
	x := strays * min(max(coherent-usualCoherence, -1.5), 0.3) * min(1, (1.2-sure)/0.4)
	x -= min(amongWeight*max(0, float64(t.band.rejecting()-fewAround)), mostAround)
	x -= decayWeight * max(0, t.decay-usualDecay)
	a := float64(t.trellis.markAmp[c.end&(ring-1)])
	strong := min(1, a*a*t.sender.mean[dotLength]/(strongEnergy*t.noise))
	x -= strays * strong * (unsureWeight*max(0, strongSure-sure) + strongMisfit*max(0, t.sender.misfit-strayMisfit))
	return x - misfitWeight*max(0, t.sender.misfit-usualMisfit)
}

// The figures are by what marks of real signals, weak, keyed by hand or fading, and of music are like.
const (
	leastStray, mostStray = 0.03, 0.08 // mean squares of steps, in nats of amplitude
	usualCoherence        = 0.7        // nats a mark
	decayWeight           = 4.0
	usualDecay            = 0.1
	usualMisfit           = 1.8
	misfitWeight          = 0.3
	amongWeight           = 0.03 // for each pitch that is rejected,
	fewAround             = 5    // beyond so many,
	mostAround            = 0.6  // up to this
	strongEnergy          = 60.0 // of a dot over the noise
	strongSure            = 0.95
	unsureWeight          = 4.0
	strayMisfit           = 1.5
	strongMisfit          = 0.6
)
