package cw

import (
	"math"

	"ionoscribe/demod"
)

// glance estimates whether a stretch of signal may be keyed at all, at a hundredth of the cost of the bank. It cuts the stretch
// into marks and gaps, whatever they mean, and scores each speed by how likely such lengths are.
type glance struct {
	energy []float64 // of the signal in each cell
	level  []float64 // amplitude with the key down there, summed over a cell
	before []uint8   // previous states of the key, if it is up or down in a cell: see cut
	marks  []float64 // base samples
	gaps   []float64
	scores []float64 // of the speeds, in nats over lengths of any kind
}

const (
	glanceCell   = 5.0  // base samples, 10 ms: half a dot at the fastest
	glanceSwitch = -3.0 // logarithm of the probability that the key changes in a cell: five changes a second, 11 words a minute
	glanceKeep   = 0.99 // decay of the level a cell later, or before: it follows fading within a second
	glanceSlope  = 0.8  // amplitude of a mark over the level, as its edges are weaker (own estimate)
	glanceShare  = 0.8  // of lengths that are cut rightly (own estimate)
	glanceSpread = 0.2  // standard deviation over the mean, of any sender's lengths with any weighting (own estimate)
	glanceOff    = 2.5  // base samples, half a cell: error of a length by the cells
	glanceBehind = 12.0 // nats by which the score of a speed may be below the best for it to be tried (own choice)

	// glanceSees is the energy of a dot over the noise above which dots are cut rightly; below, noise fills gaps of a dot (own
	// estimate).
	glanceSees = 40.0
)

// States of the key, and bits of before.
const (
	keyUp   = 0
	keyDown = 1
)

func (g *glance) init(speeds int) {
	const cells = seriesLength/int(glanceCell) + 2
	g.energy, g.level, g.before = make([]float64, 0, cells), make([]float64, 0, cells), make([]uint8, 0, cells)
	g.marks, g.gaps = make([]float64, 0, cells/2+1), make([]float64, 0, cells/2+1)
	g.scores = make([]float64, 0, speeds)
}

// look fills the scores and returns the best of them.
func (g *glance) look(s stretch, speeds []float64) (best float64) {
	const widest = (CharacterGapDots + WordGapDots) / 2 // dots; wider gaps may be anything
	g.measure(s)
	g.cut(s.noise)
	g.scores = g.scores[:0]
	best = math.Inf(-1)
	for _, dot := range speeds {
		score := 0.0
		for _, l := range g.marks {
			score += lengthScore(l, dot, dotShare)
		}
		for _, l := range g.gaps {
			if l < widest*dot {
				score += lengthScore(l, dot, innerGapShare)
			}
		}
		g.scores = append(g.scores, score)
		best = max(best, score)
	}
	return best
}

// lengthScore is the evidence of a length for a dot, if a share of lengths has one dot and the others three, against lengths
// that are as likely in each octave.
func lengthScore(l, dot, short float64) float64 {
	p := short*around(l, dot) + (1-short)*around(l, DashDots*dot)
	return math.Log(glanceShare*p*l*math.Log(anyLongest/anyShortest) + 1 - glanceShare)
}

// around is the density of lengths around a mean.
func around(l, mean float64) float64 {
	v := glanceSpread*glanceSpread*mean*mean + glanceOff*glanceOff
	return math.Exp(-(l-mean)*(l-mean)/(2*v)) / math.Sqrt(2*math.Pi*v)
}

// measure fills energy and level. The level is that of the loudest three cells around, which decays to either side.
func (g *glance) measure(s stretch) {
	g.energy, g.level = g.energy[:0], g.level[:0]
	end := float64(s.src.end)
	loudest := math.Sqrt(s.noise * glanceCell)
	for at := s.since; at+glanceCell <= end; at += glanceCell {
		g.energy = append(g.energy, norm(s.src.at(at+glanceCell)-s.src.at(at)))
		three := norm(s.src.at(min(at+2*glanceCell, end)) - s.src.at(max(s.since, at-glanceCell)))
		loudest = max(loudest*glanceKeep, math.Sqrt(three)/3)
		g.level = append(g.level, loudest)
	}
	for i := len(g.level) - 1; i >= 0; i-- {
		loudest = max(loudest*glanceKeep, g.level[i])
		g.level[i] = loudest
	}
}

// cut finds the most probable marks and gaps by Viterbi's algorithm, and leaves out the first and the last one, as they may
// be longer.
func (g *glance) cut(noise float64) {
	g.before = g.before[:0]
	up, down := 0.0, 0.0
	for i, e := range g.energy {
		a := glanceSlope * g.level[i]
		n := noise*glanceCell + a*a/glanceCell // with the error at the edges of a strong signal
		mark := float64(demod.LogI0(float32(2*a*math.Sqrt(e)/n))) - a*a/n
		var b uint8
		if down+glanceSwitch > up {
			b |= 1 << keyUp
		}
		if down > up+glanceSwitch {
			b |= 1 << keyDown
		}
		g.before = append(g.before, b)
		up, down = max(up, down+glanceSwitch), max(down, up+glanceSwitch)+mark
	}
	g.marks, g.gaps = g.marks[:0], g.gaps[:0]
	state, length, whole := uint8(keyUp), 0.0, false
	if down > up {
		state = keyDown
	}
	for i := len(g.before) - 1; i >= 0; i-- {
		length += glanceCell
		b := g.before[i] >> state & 1
		if b == state {
			continue
		}
		switch {
		case !whole:
		case state == keyDown:
			g.marks = append(g.marks, length)
		default:
			g.gaps = append(g.gaps, length)
		}
		state, length, whole = b, 0, true
	}
}
