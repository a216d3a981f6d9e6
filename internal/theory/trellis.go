package theory

import (
	"math"
	"slices"
)

// exit is what may follow a character.
type exit struct {
	cells int  // gap beyond the one behind its last element
	to    int  // place in the group of the next character
	space bool // a word space is sent
	logP  float64
}

// trellis finds the most probable message on a grid of dots: the states are the cells at which a character may begin,
// and its place in the group if that is known, the branches between them are the characters with their gaps.
type trellis struct {
	tree   []branch
	exits  [][]exit // of each place in a group
	logP   float64  // of a character: all are equally likely
	metric []float64
	best   []float64 // best[n*len(exits)+place] is the metric of the best message up to cell n
	from   []arrival
}

type arrival struct {
	state int // the state before
	sign  rune
	space bool
}

// newTrellis is for random groups of groupLength characters. A receiver that does not know of groups takes each
// character for the last of a word with the frequency with which it is.
func newTrellis(code map[rune]string, groupLength int, known bool) *trellis {
	t := &trellis{tree: tree(code), logP: -math.Log(float64(len(code)))}
	t.metric = make([]float64, len(t.tree))
	word := exit{cells: wordGapCells - gapCells, space: true}
	next := exit{cells: characterGapCells - gapCells}
	if !known {
		p := 1 / float64(groupLength)
		next.logP, word.logP = math.Log1p(-p), math.Log(p)
		t.exits = [][]exit{{next, word}}
		return t
	}
	for place := 1; place < groupLength; place++ {
		t.exits = append(t.exits, []exit{{cells: next.cells, to: place}})
	}
	t.exits = append(t.exits, []exit{word})
	return t
}

// decode is the most probable message of len(dot) cells, the last word space included. dot[n] and dash[n] are the
// log-likelihoods of an element that begins at cell n, over those of silence; gaps need no metric of their own.
func (t *trellis) decode(dot, dash []float64) []rune {
	cells, places := len(dot), len(t.exits)
	t.best = slices.Grow(t.best[:0], (cells+1)*places)[:(cells+1)*places]
	t.from = slices.Grow(t.from[:0], (cells+1)*places)[:(cells+1)*places]
	for i := range t.best {
		t.best[i] = math.Inf(-1)
	}
	t.best[0] = 0
	for n := range cells {
		if math.IsInf(slices.Max(t.best[n*places:][:places]), -1) {
			continue
		}
		for k := 1; k < len(t.tree); k++ {
			b := &t.tree[k]
			switch at := n + b.at; {
			case n+b.end > cells:
				t.metric[k] = math.Inf(-1)
			case b.dash:
				t.metric[k] = t.metric[b.parent] + dash[at]
			default:
				t.metric[k] = t.metric[b.parent] + dot[at]
			}
			if b.sign != 0 {
				t.arrive(n, b.end, b.sign, t.metric[k]+t.logP)
			}
		}
	}
	var message []rune
	for s := cells * places; s > 0; s = t.from[s].state {
		if t.from[s].space {
			message = append(message, ' ')
		}
		message = append(message, t.from[s].sign)
	}
	slices.Reverse(message)
	return message
}

// arrive enters a character of the given length that begins at cell n, with each gap that may follow it.
func (t *trellis) arrive(n, length int, sign rune, metric float64) {
	places := len(t.exits)
	for place, exits := range t.exits {
		before := n*places + place
		for _, e := range exits {
			state := (n+length+e.cells)*places + e.to
			m := t.best[before] + metric + e.logP
			if state < len(t.best) && m > t.best[state] {
				t.best[state], t.from[state] = m, arrival{before, sign, e.space}
			}
		}
	}
}
