package samples

import (
	"fmt"
	"math/rand/v2"

	"ionoscribe/cw"
)

// CWSender is who or what keys a Morse signal.
type CWSender int

// The senders. How much each strays is our own estimate, no measurement: see [CWConfig.Jitter].
const (
	// Machine keeps every length.
	Machine CWSender = iota
	// Paddle is an electronic keyer: elements and the gaps between them are a machine's, the wider gaps an operator's.
	Paddle
	// StraightKey is all by hand.
	StraightKey
	// SemiAutomatic makes strings of dots by a swinging arm, always alike; dashes, which tend to be long, and all gaps
	// but those between two dots are by hand.
	SemiAutomatic
)

func (s CWSender) String() string {
	switch s {
	case Machine:
		return "machine"
	case Paddle:
		return "paddle"
	case StraightKey:
		return "straight key"
	case SemiAutomatic:
		return "semi-automatic key"
	}
	return fmt.Sprintf("sender %d", int(s))
}

// between bounds a factor of uniform distribution; {0, 0} is 1.
type between struct{ low, high float64 }

func (b between) draw(rng *rand.Rand) float64 {
	if b.high == 0 {
		return 1
	}
	return b.low + (b.high-b.low)*rng.Float64()
}

// cwModel is how a kind of sender strays.
type cwModel struct {
	// Jitter of lengths, in units of CWConfig.Jitter. Gaps have more than marks, and the wider ones more than those
	// within a character.
	dot, dash, gap, character, word float64
	// Factors of lengths that a sender keeps throughout.
	dashBias, gapBias, characterBias, wordBias between
}

var cwModels = [...]cwModel{
	Machine: {},
	Paddle:  {character: 1.5, word: 2, characterBias: between{0.85, 1.3}, wordBias: between{0.8, 1.4}},
	StraightKey: {dot: 1, dash: 1, gap: 1.5, character: 1.75, word: 2,
		dashBias: between{0.87, 1.27}, gapBias: between{0.8, 1.25},
		characterBias: between{0.85, 1.3}, wordBias: between{0.8, 1.4}},
	SemiAutomatic: {dash: 1, gap: 1.5, character: 1.75, word: 2,
		dashBias: between{1, 1.4}, gapBias: between{0.85, 1.3},
		characterBias: between{0.85, 1.3}, wordBias: between{0.8, 1.4}},
}

// A gap between characters that an operator gets wrong: to some 1.2 to 2 dots, so that two characters run together, or
// to 4.5 to 6.5, as if a word ended.
const (
	runTogetherShare = 0.02 // of the gaps
	stretchedShare   = 0.03
)

var runTogether, stretched = between{0.4, 0.65}, between{1.5, 2.2}

// shortestShare is the least that jitter leaves of a length.
const shortestShare = 0.3

// cwHand is one sender at work.
type cwHand struct {
	cwModel
	bias   cw.Timing // factors
	jitter float64   // share
	edge   float64   // seconds, the shortest length
	rng    *rand.Rand
}

func newCWHand(c *CWConfig) cwHand {
	h := cwHand{cwModel: cwModels[c.Sender], jitter: c.Jitter, edge: c.EdgeSeconds}
	h.rng = rand.New(rand.NewPCG(c.Seed, 0x6d6f727365))
	h.bias = cw.Timing{Dot: 1, Dash: h.dashBias.draw(h.rng), Gap: h.gapBias.draw(h.rng),
		CharacterGap: h.characterBias.draw(h.rng), WordGap: h.wordBias.draw(h.rng)}
	return h
}

// steady is t with the sender's bias.
func (h *cwHand) steady(t cw.Timing) cw.Timing {
	t.Dash *= h.bias.Dash
	t.Gap *= h.bias.Gap
	t.CharacterGap *= h.bias.CharacterGap
	t.WordGap *= h.bias.WordGap
	return t
}

// mark is how long the key is held down.
func (h *cwHand) mark(t *cw.Timing, dash bool) float64 {
	if dash {
		return h.stray(t.Dash, h.dash)
	}
	return h.stray(t.Dot, h.dot)
}

// gapAfter is the gap between two elements of a character.
func (h *cwHand) gapAfter(t *cw.Timing, dash, nextDash bool) float64 {
	if !dash && !nextDash && h.dot == 0 { // a string of dots is as the machine makes it
		return max(t.Gap/h.bias.Gap, h.edge)
	}
	return h.stray(t.Gap, h.gap)
}

func (h *cwHand) characterGap(t *cw.Timing) float64 {
	length := h.stray(t.CharacterGap, h.character)
	if h.character > 0 && h.jitter > 0 {
		switch p := h.rng.Float64(); {
		case p < runTogetherShare:
			length = t.CharacterGap * runTogether.draw(h.rng)
		case p < runTogetherShare+stretchedShare:
			length = t.CharacterGap * stretched.draw(h.rng)
		}
	}
	return max(length, h.edge)
}

func (h *cwHand) wordGap(t *cw.Timing) float64 { return h.stray(t.WordGap, h.word) }

// stray is a length with jitter so many times that of the sender.
func (h *cwHand) stray(length, times float64) float64 {
	if times == 0 || h.jitter <= 0 {
		return max(length, h.edge)
	}
	g := 1 + times*h.jitter*h.rng.NormFloat64()
	return max(length*max(g, shortestShare), h.edge)
}
