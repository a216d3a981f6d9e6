package cw

import "math"

// span is a length in steps of the grid and the logarithm of its probability.
type span struct {
	steps int64
	logP  float32
}

// timing is which lengths a sender's marks and gaps have, in steps of a grid.
type timing struct {
	dots, dashes []span
	gaps         []span  // within characters
	wide         []span  // gaps between characters, then between words
	words        int     // wide[words:] are those between words
	pause        int64   // steps of the shortest pause
	logPause     float32 // of a pause of that length
	logPauseStep float32 // what each further step costs
}

const (
	longestSteps = 900 // of a length: less than ring, so that the step where it begins is known
	pauseSeconds = 4.0 // mean length of a pause (own estimate)
	pauseShare   = 0.1 // of the gaps between words that are pauses (own estimate)

	// Only hands stray. Whether a sender is one is told by the spread of the gaps within characters: a machine's is
	// machineGaps, a hand's handGaps or more (own choice).
	machineGaps = 0.05
	handGaps    = 0.13
)

// strays are the lengths that do not follow the normal distribution: the share of a hand's, and between which multiples
// of the mean they are (own estimate; a gap between characters in twenty is one that the hand hesitates at).
var strays = [lengths]struct{ share, low, high float64 }{
	dotLength:       {0.01, 0.5, 1.6},
	dashLength:      {0.01, 0.6, 1.5},
	gapLength:       {0.01, 0.4, 1.7},
	characterLength: {0.06, 0.45, 2.1},
	wordLength:      {0.1, 0.8, 1.8}, // whoever sends: words are set apart by thought
}

// set takes the lengths of a sender; a step is so many base samples.
func (t *timing) set(s *sender, step float64) {
	hand := max(0, min(1, (s.spread[gapLength]-machineGaps)/(handGaps-machineGaps)))
	t.dots = s.spans(t.dots[:0], dotLength, step, hand)
	t.dashes = s.spans(t.dashes[:0], dashLength, step, hand)
	t.gaps = s.spans(t.gaps[:0], gapLength, step, hand)
	t.wide = s.spans(t.wide[:0], characterLength, step, hand)
	t.words = len(t.wide)
	t.wide = s.spans(t.wide, wordLength, step, 1)
	t.setPause(t.wide[len(t.wide)-1].steps+1, pauseShare, step)
}

// setPause sets how long pauses are at least, and how many of the gaps between words are pauses.
func (t *timing) setPause(shortest int64, share, step float64) {
	perStep := step / (pauseSeconds * baseRate)
	t.pause = shortest
	t.logPause = float32(math.Log(share * perStep))
	t.logPauseStep = -float32(perStep)
}

// characters are the gaps between characters.
func (t *timing) characters() []span { return t.wide[:t.words] }

// betweenWords are the gaps between words.
func (t *timing) betweenWords() []span { return t.wide[t.words:] }

// lengthTable has the logarithms of the probabilities of lengths by their steps; none of a length that does not occur.
type lengthTable struct{ dot, dash, gap []float32 }

func newLengthTable() lengthTable {
	return lengthTable{make([]float32, 0, ring), make([]float32, 0, ring), make([]float32, 0, ring)}
}

// set lists the lengths of t, and for gaps how likely each kind is.
func (l *lengthTable) set(t *timing, k *kindPriors) {
	marks := max(longest(t.dots), longest(t.dashes))
	l.dot, l.dash = blankTable(l.dot, marks), blankTable(l.dash, marks)
	for _, d := range t.dots {
		l.dot[d.steps] = d.logP
	}
	for _, d := range t.dashes {
		l.dash[d.steps] = d.logP
	}
	l.gap = blankTable(l.gap, max(longest(t.gaps), longest(t.wide)))
	for _, g := range t.gaps {
		l.gap[g.steps] = g.logP + k.gap
	}
	for i, g := range t.wide {
		kind := k.character
		if i >= t.words {
			kind = k.word
		}
		l.gap[g.steps] = max(l.gap[g.steps], g.logP+kind)
	}
}

// longest is the longest of lengths that are in order.
func longest(s []span) int64 {
	if len(s) == 0 {
		return 0
	}
	return s[len(s)-1].steps
}

// likelihoodOf is that of a length; 0 if it is not among those listed.
func likelihoodOf(s []span, steps int64) float64 {
	for _, g := range s {
		if g.steps == steps {
			return math.Exp(float64(g.logP))
		}
	}
	return 0
}

func blankTable(dst []float32, longest int64) []float32 {
	dst = dst[:0]
	for range longest + 1 {
		dst = append(dst, none)
	}
	return dst
}

// kindPriors are the logarithms of how many marks are dots and dashes, and gaps within characters, between characters
// and between words.
type kindPriors struct{ dot, dash, gap, character, word float32 }

// Shares of any text (own estimate): as many dots as dashes, and six gaps in ten within characters. One of the others in
// six is between words (usualEnd).
const (
	dotShare      = 0.5
	innerGapShare = 0.6
)

// usualKinds are those of any text.
func usualKinds() kindPriors {
	log := func(share float64) float32 { return float32(math.Log(share)) }
	return kindPriors{
		dot: log(dotShare), dash: log(1 - dotShare),
		gap: log(innerGapShare), character: log((1 - innerGapShare) * (1 - usualEnd)), word: log((1 - innerGapShare) * usualEnd),
	}
}
