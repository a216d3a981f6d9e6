package cw

import (
	"math/bits"
)

// Lengths of the trellis's memory, in grid steps.
const (
	rows    = 128       // metrics: longer than the longest dash of a character
	past    = 1 << 10   // back pointers: 128 dots
	arcsMax = 4         // ends of characters that are kept at each step, for the confidences
	farBack = past - 64 // nothing is traced further
)

// arc is a character between two gaps: one that ends at a certain step.
type arc struct {
	node  int16
	start int64   // step at which its first mark begins
	score float32 // of its marks and the gaps between them, and of the character
}

// A text whose metric is so far below that of the best one, which may have fallen silent, is given up: it would need to
// make up for more than any timing or rarity of a character costs. Gaps have been charged for already, as those that
// still go on have not.
const (
	beam       = 18
	beamOfGaps = beam + 10
)

// trellis is the most probable text. The states are the steps of the grid and the place in the tree of patterns that
// the present character has come to: mark[n][k] ends a mark at step n that leads to node k, gap[n][p] ends a gap that
// follows node p. Each keeps where its character began. Only those nodes count whose bits are set, in strong signals
// few and at most steps none.
type trellis struct {
	elements
	mark      [rows][]float32
	markStart [rows][]int64
	markLive  [rows]markSet
	gapM      [rows][]float32
	gapStart  [rows][]int64
	gapLive   [rows]uint64

	markLen [past][]uint8 // back pointers
	gapLen  [past][]uint8

	// The gaps between characters: the best text that ends here, and that begins a character here.
	arcs     [past][arcsMax]arc
	end      [past]float32 // metric of the best
	root     [past]float32
	rootFrom [past]int64 // step where the character before ended; -1: none did
	rootWord [past]bool
	inWord   [past]uint8 // characters that the word has so far, that which ends here counted
	before   [past]uint8 // the same, before that which begins here
	ended    []int64     // the steps, in order, at which a character may have ended
	words
	idle     float32
	idleFrom int64
	leader   float32 // metric of the best text of whole characters, which may have fallen silent

	bestDot, bestDash []float32 // work space of inner nodes
	lenDot, lenDash   []uint8
	unheard           []float32 // none, of each node

	plain *plain // nil: no language is expected
}

// markSet has a bit for each node of the tree.
type markSet [2]uint64

func (s *markSet) set(k int) { s[k>>6] |= 1 << (k & 63) }

func newTrellis() *trellis {
	t := new(trellis)
	for i := range rows {
		t.mark[i], t.markStart[i] = make([]float32, len(tree)), make([]int64, len(tree))
		t.gapM[i], t.gapStart[i] = make([]float32, inner), make([]int64, inner)
	}
	for i := range past {
		t.markLen[i], t.gapLen[i] = make([]uint8, len(tree)), make([]uint8, inner)
	}
	t.bestDot, t.bestDash = make([]float32, inner), make([]float32, inner)
	t.lenDot, t.lenDash = make([]uint8, inner), make([]uint8, inner)
	t.ended = make([]int64, 0, 2*past)
	t.unheard = make([]float32, len(tree))
	for k := range t.unheard {
		t.unheard[k] = none
	}
	return t
}

// begin starts anew; the sender's timing is set before.
func (t *trellis) begin(src *series, origin, step, noise, amplitude float64) {
	t.elements.start(src, origin, step, noise, amplitude)
	t.markLive, t.gapLive = [rows]markSet{}, [rows]uint64{}
	for i := range past {
		t.end[i], t.root[i], t.rootFrom[i] = none, none, -1
		t.arcs[i] = [arcsMax]arc{}
	}
	t.ended = t.ended[:0]
	t.idle, t.idleFrom, t.leader = 0, -1, 0
	if t.plain != nil {
		t.plain.begin()
	}
}

// next takes the next step of the grid.
func (t *trellis) next() {
	n := t.n
	if n&(rows-1) == 0 {
		t.rebase()
	}
	t.least = t.leader + t.logPauseStep - beam
	t.elements.advance() // n stays the step that is dealt with here
	t.marks(n)
	if t.plain == nil {
		t.ends(n)
		t.inGaps(n)
		t.wideGaps(n)
	} else {
		t.plain.ends(t, n)
		t.inGaps(n)
		t.plain.wideGaps(t, n)
	}
	t.texts[n&(ring-1)] = t.beginning(n)
	if k := len(t.starts); t.gapLive[n&(rows-1)] != 0 && (k == 0 || t.starts[k-1] != n) {
		t.starts = remember(t.starts, n)
	}
}

// beginning is the metric of the best text that may begin a mark at a step.
func (t *trellis) beginning(n int64) float32 {
	best := none
	for live := t.gapLive[n&(rows-1)]; live != 0; live &= live - 1 {
		best = max(best, t.gapM[n&(rows-1)][bits.TrailingZeros64(live)])
	}
	return best
}

// longest finds, for each inner node, the best of the gaps that end where one of the marks begins, and says for
// which nodes there is any.
func (t *trellis) longest(best []float32, at []uint8, n int64, marks []span) (found uint64) {
	copy(best, t.unheard)
	for _, d := range marks {
		if d.steps >= rows {
			continue
		}
		r := (n - d.steps) & (rows - 1)
		live := t.gapLive[r]
		if found |= live; live == 0 {
			continue
		}
		m, l, row := d.logP, uint8(d.steps), t.gapM[r]
		for ; live != 0; live &= live - 1 {
			p := bits.TrailingZeros64(live)
			if v := row[p] + m; v > best[p] {
				best[p], at[p] = v, l
			}
		}
	}
	return found
}

func (t *trellis) marks(n int64) {
	dots := t.longest(t.bestDot, t.lenDot, n, t.dotAt)
	dashes := t.longest(t.bestDash, t.lenDash, n, t.dashAt)
	t.leader = max(t.leader+t.logPauseStep, t.idle)
	for live := dots; live != 0; live &= live - 1 {
		p := bits.TrailingZeros64(live)
		if k := tree[p].dot; k >= 0 {
			t.leader = max(t.leader, t.bestDot[p]+t.logP(k))
		}
	}
	for live := dashes; live != 0; live &= live - 1 {
		p := bits.TrailingZeros64(live)
		if k := tree[p].dash; k >= 0 {
			t.leader = max(t.leader, t.bestDash[p]+t.logP(k))
		}
	}
	r, b, least := n&(rows-1), n&(past-1), t.leader-beam
	mark, start, back, set := t.mark[r], t.markStart[r], t.markLen[b], markSet{}
	for live := dots; live != 0; live &= live - 1 {
		p := bits.TrailingZeros64(live)
		if k := tree[p].dot; k >= 0 && t.bestDot[p] > least {
			mark[k], back[k], start[k] = t.bestDot[p], t.lenDot[p], t.began(n, p, t.lenDot[p])
			set.set(k)
		}
	}
	for live := dashes; live != 0; live &= live - 1 {
		p := bits.TrailingZeros64(live)
		if k := tree[p].dash; k >= 0 && t.bestDash[p] > least {
			mark[k], back[k], start[k] = t.bestDash[p], t.lenDash[p], t.began(n, p, t.lenDash[p])
			set.set(k)
		}
	}
	t.markLive[r] = set
}

func (t *trellis) began(n int64, p int, l uint8) int64 {
	from := n - int64(l)
	if p == 0 {
		return from
	}
	return t.gapStart[from&(rows-1)][p]
}

// ends finds the characters that end here.
func (t *trellis) ends(n int64) {
	i := n & (past - 1)
	arcs := &t.arcs[i]
	*arcs = [arcsMax]arc{{node: -1}, {node: -1}, {node: -1}, {node: -1}}
	metric := [arcsMax]float32{none / 2, none / 2, none / 2, none / 2}
	mark, start := t.mark[n&(rows-1)], t.markStart[n&(rows-1)]
	for w, live := range t.markLive[n&(rows-1)] {
		for ; live != 0; live &= live - 1 {
			k := w*64 + bits.TrailingZeros64(live)
			v := mark[k] + t.logP(k)
			if v <= metric[arcsMax-1] {
				continue
			}
			i := arcsMax - 1
			for ; i > 0 && v > metric[i-1]; i-- {
				metric[i], arcs[i] = metric[i-1], arcs[i-1]
			}
			metric[i] = v
			arcs[i] = arc{int16(k), start[k], v - t.root[start[k]&(past-1)]}
		}
	}
	t.end[i], t.inWord[i] = none, 0
	if arcs[0].node >= 0 {
		t.end[i] = metric[0]
		t.inWord[i] = min(t.before[arcs[0].start&(past-1)]+1, longestWord)
		t.ended = remember(t.ended, n)
	}
}

// inGaps ends the gaps within characters.
func (t *trellis) inGaps(n int64) {
	r, least := n&(rows-1), t.leader-beamOfGaps
	best, at, start, set := t.gapM[r], t.gapLen[n&(past-1)], t.gapStart[r], uint64(0)
	copy(best, t.unheard)
	for _, g := range t.gaps {
		if g.steps >= rows {
			break
		}
		b := (n - g.steps) & (rows - 1)
		live := t.markLive[b][0] & innerSet
		if live == 0 {
			continue
		}
		row, m, l := t.mark[b], g.logP, uint8(g.steps)
		for ; live != 0; live &= live - 1 {
			p := bits.TrailingZeros64(live)
			if v := row[p] + m; v > best[p] && v > least {
				best[p], at[p] = v, l
				set |= 1 << p
			}
		}
	}
	t.gapLive[r] = set
	for ; set != 0; set &= set - 1 {
		p := bits.TrailingZeros64(set)
		start[p] = t.markStart[(n-int64(at[p]))&(rows-1)][p]
	}
}

// wideGaps ends the gaps between characters and words, and pauses.
func (t *trellis) wideGaps(n int64) {
	best, from, word := none, int64(-1), false
	characters, words := t.wide[:t.timing.words], t.wide[t.timing.words:]
	for i := len(t.ended) - 1; i >= 0; i-- {
		m := t.ended[i]
		d := n - m
		if d >= t.pause || d >= farBack {
			break
		}
		b := m & (past - 1)
		if j := d - characters[0].steps; j >= 0 && j < int64(len(characters)) {
			if v := t.end[b] + characters[j].logP + t.logCharacterAfter[t.inWord[b]]; v > best {
				best, from, word = v, m, false
			}
		}
		if j := d - words[0].steps; j >= 0 && j < int64(len(words)) {
			if v := t.end[b] + words[j].logP + t.logWordAfter[t.inWord[b]]; v > best {
				best, from, word = v, m, true
			}
		}
	}
	t.idle += t.logPauseStep
	if t.pause <= n && t.pause < farBack {
		m := (n - t.pause) & (past - 1)
		if v := t.end[m] + t.logWordAfter[t.inWord[m]]; v > t.idle {
			t.idle, t.idleFrom = v, n-t.pause
		}
	}
	if v := t.idle + t.logPause; v > best {
		best, from, word = v, t.idleFrom, true
	}
	i := n & (past - 1)
	t.root[i], t.rootFrom[i], t.rootWord[i], t.before[i] = best, from, word, 0
	if !word && from >= 0 {
		t.before[i] = t.inWord[from&(past-1)]
	}
	t.gapM[n&(rows-1)][0] = best
	if best > t.leader-beamOfGaps {
		t.gapLive[n&(rows-1)] |= 1
	}
}

// rebase keeps the metrics small enough for float32.
func (t *trellis) rebase() {
	by := max(t.idle, t.top())
	t.idle -= by
	t.leader -= by
	for i := range rows {
		for w, live := range t.markLive[i] {
			for ; live != 0; live &= live - 1 {
				t.mark[i][w*64+bits.TrailingZeros64(live)] -= by
			}
		}
		for live := t.gapLive[i]; live != 0; live &= live - 1 {
			t.gapM[i][bits.TrailingZeros64(live)] -= by
		}
	}
	for i := range past {
		t.end[i] -= by
		t.root[i] -= by
	}
	t.elements.lower(by)
}

// top is the best metric of a text that has just ended a mark.
func (t *trellis) top() float32 {
	v, _, _ := t.last()
	return v
}

// last finds the best mark that ended within the last three dots, as a step and a node.
func (t *trellis) last() (best float32, at int64, k int) {
	best, at, k = none, -1, -1
	for i := max(0, t.n-3*gridSteps); i < t.n; i++ {
		for w, live := range t.markLive[i&(rows-1)] {
			for ; live != 0; live &= live - 1 {
				j := w*64 + bits.TrailingZeros64(live)
				if v := t.mark[i&(rows-1)][j]; v > best {
					best, at, k = v, i, j
				}
			}
		}
	}
	return best, at, k
}

// found is a character on the best path.
type found struct {
	node       int16
	start, end int64
	from       int64 // end of the character before
	word       bool  // a word gap comes before
	length     uint8 // characters of the word before that gap, or so far

	arc               int     // with plain language: its place among those that end there,
	before, beforeGap context // and what was sent before it, and before the gap
}

// path lists the characters of the best text that end after the step since and not after the step until, the last one
// first.
func (t *trellis) path(dst []found, since, until int64) []found {
	best, at, k := t.last()
	end := t.idleFrom
	quiet := t.idle
	for m := max(0, t.n-min(t.pause, farBack)); m < t.n; m++ { // silence since then
		if v := t.end[m&(past-1)]; v > quiet {
			quiet, end = v, m
		}
	}
	if best > quiet { // in the middle of a character
		start := t.markStart[at&(rows-1)][k]
		if start < t.n-farBack {
			return dst
		}
		end = t.rootFrom[start&(past-1)]
		if t.plain != nil {
			return t.plain.path(dst, t, t.plain.roots[start&(past-1)][0], since, until)
		}
	}
	if t.plain != nil {
		return t.plain.path(dst, t, root{from: end}, since, until)
	}
	for end > since && end >= 0 && end > t.n-farBack {
		a := t.arcs[end&(past-1)][0]
		if a.node < 0 || a.start < t.n-farBack {
			break
		}
		f := found{node: a.node, start: a.start, end: end, from: t.rootFrom[a.start&(past-1)], word: t.rootWord[a.start&(past-1)]}
		if f.from >= 0 {
			f.length = t.inWord[f.from&(past-1)]
		}
		if end <= until {
			dst = append(dst, f)
		}
		end = f.from
	}
	return dst
}

// parts calls f with the lengths of a character on the path, the last one first: the step where it ends, and its steps.
func (t *trellis) parts(c found, f func(l length, end, steps int64)) {
	n, p := c.end, tree[c.node].pattern
	k := int(c.node)
	for p > 1 {
		d := int64(t.markLen[n&(past-1)][k])
		l := dotLength
		if p&1 == 1 {
			l = dashLength
		}
		f(l, n, d)
		n -= d
		p >>= 1
		if p == 1 {
			break
		}
		k = parent[k]
		g := int64(t.gapLen[n&(past-1)][k])
		f(gapLength, n, g)
		n -= g
		if n < c.start-2 {
			break
		}
	}
}
