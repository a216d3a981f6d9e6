package cw

import (
	"math"

	"ionoscribe/demod"
)

// glance is a quick look whether a stretch of signal may be keyed at all, at a hundredth of the cost of the bank. It cuts
// the stretch into marks and gaps, whatever they mean, and asks for each speed how likely such lengths are.
type glance struct {
	energy []float64 // of the signal in each cell
	level  []float64 // amplitude with the key down there, summed over a cell
	before []uint8   // the state before, upBefore and downBefore, if it is up or down now
	marks  []float64 // base samples
	gaps   []float64
	scores []float64 // of the speeds, in nats over lengths that mean nothing
}

const (
	glanceCell   = 5.0  // base samples, 10 ms: half a dot at the fastest
	glanceSwitch = -3.0 // logarithm of the probability that the key changes in a cell: a hundred words a minute
	glanceKeep   = 0.99 // what is left of the level a cell later, or before: it follows fading within a second
	glanceShare  = 0.8  // of lengths that are as they should be; the others are cut wrongly
	glanceSpread = 0.2  // any sender's, and what weighting makes of it
	glanceOff    = 2.5  // base samples, that the cells make it wrong by
	glanceSees   = 40.0 // energy of a dot over the noise from which on it is cut rightly (own estimate: of less, noise hides a gap of a dot from glanceSwitch)
	glanceBehind = 12.0 // nats by which the score of a speed that is tried may be less than the best
)

const downNow = 1 // index of the states

func (g *glance) init() {
	const cells = seriesLength/int(glanceCell) + 2
	g.energy, g.level, g.before = make([]float64, 0, cells), make([]float64, 0, cells), make([]uint8, 0, cells)
	g.marks, g.gaps = make([]float64, 0, cells/2+1), make([]float64, 0, cells/2+1)
	g.scores = make([]float64, 0, 64)
}

// look fills the scores; the best of them is returned.
func (g *glance) look(src *series, since, noise float64, speeds []float64) (best float64) {
	g.measure(src, since, noise)
	g.cut(noise)
	g.scores = g.scores[:0]
	best = math.Inf(-1)
	for _, dot := range speeds {
		s := 0.0
		for _, l := range g.marks {
			s += gain(l, dot, 0.5, 0.5)
		}
		for _, l := range g.gaps {
			if l < (CharacterGapDots+WordGapDots)/2*dot { // wider ones may be anything
				s += gain(l, dot, 0.6, 0.4)
			}
		}
		g.scores = append(g.scores, s)
		best = max(best, s)
	}
	return best
}

// gain is what a length speaks for a dot, if the shares of one and of three dots are such, over any length that is as
// likely in each octave.
func gain(l, dot, one, three float64) float64 {
	p := one*around(l, dot) + three*around(l, DashDots*dot)
	return math.Log(glanceShare*p*l*math.Log(anyLongest/anyShortest) + 1 - glanceShare)
}

func around(l, mean float64) float64 {
	v := glanceSpread*glanceSpread*mean*mean + glanceOff*glanceOff
	return math.Exp(-(l-mean)*(l-mean)/(2*v)) / math.Sqrt(2*math.Pi*v)
}

// measure fills energy and level. The level is that of the loudest 30 ms around, which decays to either side.
func (g *glance) measure(src *series, since, noise float64) {
	g.energy, g.level = g.energy[:0], g.level[:0]
	loudest := math.Sqrt(noise * glanceCell)
	for at := since; at+glanceCell <= float64(src.end); at += glanceCell {
		g.energy = append(g.energy, norm(src.at(at+glanceCell)-src.at(at)))
		around := norm(src.at(min(at+2*glanceCell, float64(src.end))) - src.at(max(since, at-glanceCell)))
		loudest = max(loudest*glanceKeep, math.Sqrt(around)/3)
		g.level = append(g.level, loudest)
	}
	for i := len(g.level) - 1; i >= 0; i-- {
		loudest = max(loudest*glanceKeep, g.level[i])
		g.level[i] = loudest
	}
}

// cut finds the most probable marks and gaps, the first and the last one left out, as they may be longer.
func (g *glance) cut(noise float64) {
	g.before = g.before[:0]
	up, down := 0.0, 0.0
	for i, e := range g.energy {
		a := glanceShare * g.level[i]
		n := noise*glanceCell + a*a/glanceCell // with that of a strong signal, whose edges stray
		mark := float64(demod.LogI0(float32(2*a*math.Sqrt(e)/n))) - a*a/n
		var b uint8
		if down+glanceSwitch > up {
			b |= 1
		}
		if down > up+glanceSwitch {
			b |= 2
		}
		g.before = append(g.before, b)
		up, down = max(up, down+glanceSwitch), max(down, up+glanceSwitch)+mark
	}
	g.marks, g.gaps = g.marks[:0], g.gaps[:0]
	state, length, whole := uint8(0), 0.0, false
	if down > up {
		state = downNow
	}
	for i := len(g.before) - 1; i >= 0; i-- {
		length += glanceCell
		b := g.before[i] >> state & 1
		if b == state {
			continue
		}
		switch {
		case !whole:
		case state == downNow:
			g.marks = append(g.marks, length)
		default:
			g.gaps = append(g.gaps, length)
		}
		state, length, whole = b, 0, true
	}
}
