package cw

import "math/bits"

// Lengths of the trellis's memory, in grid steps.
const (
	rowsKept = 128               // metrics: longer than the longest dash of a character
	past     = 1 << 10           // back pointers: 128 dots
	farBack  = past - rowsKept/2 // nothing is traced further
)

// Texts whose metric is so many nats below that of the best one are given up: that is more than any timing or rarity of a
// character costs. The best one may have fallen silent. Gaps that have ended have paid for their length, those that still go
// on have not, and so gaps have a wider beam (own choice).
const (
	beam       = 18
	beamOfGaps = beam + 10
)

// trellis finds the most probable text. The states are the steps of the grid and the place in the tree of patterns that the
// present character has come to (inside), and between characters what is remembered of a text (texts).
type trellis struct {
	elements elements
	inside   inside
	texts    texts
	expect   expectation
	leader   float32 // metric of the best text that is at the end of a character, or silent
}

// inside is the trellis within characters, by the step n where a mark or gap ends: the metric of a mark that leads to node k
// of the tree, that of a gap that follows node p, and for each the step where its character began. Only the nodes whose
// bits are set are live: in strong signals few, and at most steps none.
type inside struct {
	mark      [rowsKept][]float32
	markStart [rowsKept][]int64
	markLive  [rowsKept]markSet
	gap       [rowsKept][]float32
	gapStart  [rowsKept][]int64
	gapLive   [rowsKept]uint64

	markLen [past][]uint8 // back pointers: steps of the mark,
	gapLen  [past][]uint8 // and of the gap

	dots, dashes bestMarks
	unheard      []float32 // none, of each node
}

// bestMarks are, for each inner node, the best mark that ends at a step after the node.
type bestMarks struct {
	live   uint64
	metric []float32
	steps  []uint8
}

// markSet has a bit for each node of the tree.
type markSet [2]uint64

func (s *markSet) set(k int) { s[k>>6] |= 1 << (k & 63) }

func newTrellis(plainLanguage bool) *trellis {
	t := new(trellis)
	in := &t.inside
	for i := range rowsKept {
		in.mark[i], in.markStart[i] = make([]float32, len(tree)), make([]int64, len(tree))
		in.gap[i], in.gapStart[i] = make([]float32, inner), make([]int64, inner)
	}
	for i := range past {
		in.markLen[i], in.gapLen[i] = make([]uint8, len(tree)), make([]uint8, inner)
	}
	for _, b := range []*bestMarks{&in.dots, &in.dashes} {
		b.metric, b.steps = make([]float32, inner), make([]uint8, inner)
	}
	in.unheard = make([]float32, len(tree))
	for k := range in.unheard {
		in.unheard[k] = none
	}
	t.expect = newExpectation(plainLanguage)
	t.texts = newTexts(t.expect.remembers())
	return t
}

// begin starts anew; the sender's timing is set before.
func (t *trellis) begin(src *series, origin, step, noise, amplitude float64) {
	t.elements.start(src, origin, step, noise, amplitude)
	t.inside.markLive, t.inside.gapLive = [rowsKept]markSet{}, [rowsKept]uint64{}
	t.texts.begin()
	t.leader = 0
}

// next takes the next step of the grid.
func (t *trellis) next() {
	n := t.elements.n
	if n&(rowsKept-1) == 0 {
		t.lower()
	}
	t.elements.texts.least = t.leader + t.elements.timing.logPauseStep - beam
	t.elements.advance() // which takes step n and goes on to the next
	t.marks(n)
	t.endCharacters(n)
	t.innerGaps(n)
	t.wideGaps(n)
	t.elements.texts.best[n&(ring-1)] = t.inside.bestGap(n)
	if live := &t.elements.live; t.inside.gapLive[n&(rowsKept-1)] != 0 && (len(live.starts) == 0 || live.starts[len(live.starts)-1] != n) {
		live.starts = remember(live.starts, n)
	}
}

// bestGap is the metric of the best text that may begin a mark at a step.
func (in *inside) bestGap(n int64) float32 {
	best, row := none, in.gap[n&(rowsKept-1)]
	for live := in.gapLive[n&(rowsKept-1)]; live != 0; live &= live - 1 {
		best = max(best, row[bits.TrailingZeros64(live)])
	}
	return best
}

// endMarks finds, for each inner node, the best of the marks that end at step n after it.
func (in *inside) endMarks(b *bestMarks, n int64, marks []span) {
	best, at, found := b.metric, b.steps, uint64(0)
	copy(best, in.unheard)
	for _, d := range marks {
		if d.steps >= rowsKept {
			continue
		}
		r := (n - d.steps) & (rowsKept - 1)
		live := in.gapLive[r]
		if found |= live; live == 0 {
			continue
		}
		m, l, row := d.logP, uint8(d.steps), in.gap[r]
		for ; live != 0; live &= live - 1 {
			p := bits.TrailingZeros64(live)
			if v := row[p] + m; v > best[p] {
				best[p], at[p] = v, l
			}
		}
	}
	b.live = found
}

// marks ends dots and dashes.
func (t *trellis) marks(n int64) {
	in := &t.inside
	in.endMarks(&in.dots, n, t.elements.dotAt)
	in.endMarks(&in.dashes, n, t.elements.dashAt)
	t.leader = max(t.leader+t.elements.timing.logPauseStep, t.texts.idle)
	signs := &t.expect.signs
	for live := in.dots.live; live != 0; live &= live - 1 {
		p := bits.TrailingZeros64(live)
		if k := tree[p].dot; k >= 0 {
			t.leader = max(t.leader, in.dots.metric[p]+signs.logP(k))
		}
	}
	for live := in.dashes.live; live != 0; live &= live - 1 {
		p := bits.TrailingZeros64(live)
		if k := tree[p].dash; k >= 0 {
			t.leader = max(t.leader, in.dashes.metric[p]+signs.logP(k))
		}
	}
	r, b, least := n&(rowsKept-1), n&(past-1), t.leader-beam
	mark, start, back, set := in.mark[r], in.markStart[r], in.markLen[b], markSet{}
	for live := in.dots.live; live != 0; live &= live - 1 {
		p := bits.TrailingZeros64(live)
		if k := tree[p].dot; k >= 0 && in.dots.metric[p] > least {
			mark[k], back[k], start[k] = in.dots.metric[p], in.dots.steps[p], in.began(n, p, in.dots.steps[p])
			set.set(k)
		}
	}
	for live := in.dashes.live; live != 0; live &= live - 1 {
		p := bits.TrailingZeros64(live)
		if k := tree[p].dash; k >= 0 && in.dashes.metric[p] > least {
			mark[k], back[k], start[k] = in.dashes.metric[p], in.dashes.steps[p], in.began(n, p, in.dashes.steps[p])
			set.set(k)
		}
	}
	in.markLive[r] = set
}

// began is the step where a character began, given its mark that ends at step n, of so many steps after node p.
func (in *inside) began(n int64, p int, steps uint8) int64 {
	from := n - int64(steps)
	if p == 0 {
		return from
	}
	return in.gapStart[from&(rowsKept-1)][p]
}

// innerGaps ends the gaps within characters.
func (t *trellis) innerGaps(n int64) {
	in := &t.inside
	r, least := n&(rowsKept-1), t.leader-beamOfGaps
	best, at, start, set := in.gap[r], in.gapLen[n&(past-1)], in.gapStart[r], uint64(0)
	copy(best, in.unheard)
	for _, g := range t.elements.timing.gaps {
		if g.steps >= rowsKept {
			break
		}
		b := (n - g.steps) & (rowsKept - 1)
		live := in.markLive[b][0] & innerSet
		if live == 0 {
			continue
		}
		row, m, l := in.mark[b], g.logP, uint8(g.steps)
		for ; live != 0; live &= live - 1 {
			p := bits.TrailingZeros64(live)
			if v := row[p] + m; v > best[p] && v > least {
				best[p], at[p] = v, l
				set |= 1 << p
			}
		}
	}
	in.gapLive[r] = set
	for ; set != 0; set &= set - 1 {
		p := bits.TrailingZeros64(set)
		start[p] = in.markStart[(n-int64(at[p]))&(rowsKept-1)][p]
	}
}

// lower subtracts the best metric from all: they are in single precision.
func (t *trellis) lower() {
	best, _, _ := t.lastMark()
	by := max(t.texts.idle, best)
	t.leader -= by
	t.inside.lower(by)
	t.texts.lower(by)
	t.elements.lower(by)
}

func (in *inside) lower(by float32) {
	for i := range rowsKept {
		for w, live := range in.markLive[i] {
			for ; live != 0; live &= live - 1 {
				in.mark[i][w*64+bits.TrailingZeros64(live)] -= by
			}
		}
		for live := in.gapLive[i]; live != 0; live &= live - 1 {
			in.gap[i][bits.TrailingZeros64(live)] -= by
		}
	}
}

// lastMark finds the best mark that ended within the last three dots, as a step and a node.
func (t *trellis) lastMark() (best float32, at int64, k int) {
	best, at, k = none, -1, -1
	for i := max(0, t.elements.n-recentMarks); i < t.elements.n; i++ {
		r := i & (rowsKept - 1)
		for w, live := range t.inside.markLive[r] {
			for ; live != 0; live &= live - 1 {
				j := w*64 + bits.TrailingZeros64(live)
				if v := t.inside.mark[r][j]; v > best {
					best, at, k = v, i, j
				}
			}
		}
	}
	return best, at, k
}

// recentMarks is the number of steps within which the last mark of an unfinished character has ended: three dots, of which a
// gap takes one.
const recentMarks = 3 * gridSteps
