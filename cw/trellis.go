package cw

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

// trellis is the most probable text. The states are the steps of the grid and the place in the tree of patterns that
// the present character has come to: mark[n][k] ends a mark at step n that leads to node k, gap[n][p] ends a gap that
// follows node p. Each keeps where its character began.
type trellis struct {
	elements
	mark      [rows][]float32
	markStart [rows][]int64
	gapM      [rows][]float32
	gapStart  [rows][]int64

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
	words
	idle     float32
	idleFrom int64

	bestDot, bestDash []float32 // work space of inner nodes
	lenDot, lenDash   []uint8
}

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
	return t
}

// begin starts anew; the sender's timing is set before.
func (t *trellis) begin(src *series, origin, step, noise, amplitude float64) {
	t.elements.start(src, origin, step, noise, amplitude)
	for i := range rows {
		for k := range t.mark[i] {
			t.mark[i][k] = none
		}
		for p := range t.gapM[i] {
			t.gapM[i][p] = none
		}
	}
	for i := range past {
		t.end[i], t.root[i], t.rootFrom[i] = none, none, -1
		t.arcs[i] = [arcsMax]arc{}
	}
	t.idle, t.idleFrom = 0, -1
}

// next takes the next step of the grid.
func (t *trellis) next() {
	n := t.n
	if n&(rows-1) == 0 {
		t.rebase()
	}
	t.elements.advance() // n stays the step that is dealt with here
	t.marks(n)
	t.ends(n)
	t.inGaps(n)
	t.wideGaps(n)
}

// longest finds, for each inner node, the best of the rows that lie the spans back.
func longest(best []float32, at []uint8, from *[rows][]float32, n int64, spans []span, scores []float32) {
	for i := range best {
		best[i] = none
	}
	for i, d := range spans {
		if d.steps >= rows {
			break
		}
		m, l := scores[i], uint8(d.steps)
		row := from[(n-d.steps)&(rows-1)][:len(best)]
		for p, v := range row {
			if v += m; v > best[p] {
				best[p], at[p] = v, l
			}
		}
	}
}

func (t *trellis) marks(n int64) {
	longest(t.bestDot, t.lenDot, &t.gapM, n, t.dots, t.dotAt)
	longest(t.bestDash, t.lenDash, &t.gapM, n, t.dashes, t.dashAt)
	r, b := n&(rows-1), n&(past-1)
	mark, start, back := t.mark[r], t.markStart[r], t.markLen[b]
	for p := range inner {
		node := &tree[p]
		if k := node.dot; k >= 0 {
			mark[k], back[k] = t.bestDot[p], t.lenDot[p]
			start[k] = t.began(n, p, t.lenDot[p])
		}
		if k := node.dash; k >= 0 {
			mark[k], back[k] = t.bestDash[p], t.lenDash[p]
			start[k] = t.began(n, p, t.lenDash[p])
		}
	}
	mark[0] = none
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
	arcs := &t.arcs[n&(past-1)]
	var metric [arcsMax]float32
	for i := range metric {
		metric[i] = none / 2
		arcs[i] = arc{node: -1}
	}
	mark, start := t.mark[n&(rows-1)], t.markStart[n&(rows-1)]
	for k := range tree {
		v := mark[k] + tree[k].logP
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
	t.end[n&(past-1)] = metric[0]
	t.inWord[n&(past-1)] = 0
	if arcs[0].node >= 0 {
		t.inWord[n&(past-1)] = min(t.before[arcs[0].start&(past-1)]+1, longestWord)
	}
}

// inGaps ends the gaps within characters.
func (t *trellis) inGaps(n int64) {
	r := n & (rows - 1)
	best, at, start := t.gapM[r], t.gapLen[n&(past-1)], t.gapStart[r]
	for i := range best {
		best[i] = none
	}
	for _, g := range t.gaps {
		if g.steps >= rows {
			break
		}
		row := t.mark[(n-g.steps)&(rows-1)][:len(best)]
		m, l := g.logP, uint8(g.steps)
		for p, v := range row {
			if v += m; v > best[p] {
				best[p], at[p] = v, l
			}
		}
	}
	for p := 1; p < inner; p++ {
		start[p] = t.markStart[(n-int64(at[p]))&(rows-1)][p]
	}
}

// wideGaps ends the gaps between characters and words, and pauses.
func (t *trellis) wideGaps(n int64) {
	best, from, word := none, int64(-1), false
	for i, g := range t.wide {
		if g.steps >= farBack || g.steps > n {
			break
		}
		m := (n - g.steps) & (past - 1)
		v, isWord := t.end[m]+g.logP, i >= t.timing.words
		if isWord {
			v += t.logWordAfter[t.inWord[m]]
		} else {
			v += t.logCharacterAfter[t.inWord[m]]
		}
		if v > best {
			best, from, word = v, n-g.steps, isWord
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
}

// rebase keeps the metrics small enough for float32.
func (t *trellis) rebase() {
	by := max(t.idle, t.top())
	t.idle -= by
	for i := range rows {
		for k := range t.mark[i] {
			t.mark[i][k] -= by
		}
		for k := range t.gapM[i] {
			t.gapM[i][k] -= by
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
		for j, v := range t.mark[i&(rows-1)] {
			if v > best {
				best, at, k = v, i, j
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
