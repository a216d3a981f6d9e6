package cw

import "math/bits"

// texts is the trellis between characters, by the step of the grid. An arc is a character that ends at a step, a root a text
// that may go on with a character there. The number of roots at each step is the only difference that plain language makes:
// one without it, several with it, whose last characters differ, as the expectation depends on these. Then what follows helps
// to decide what came before.
type texts struct {
	width    int // roots at each step, and arcs with a tail
	arcs     [past][arcsMax]arc
	tails    []tail        // of the first arcs of each step, the best ones
	roots    []root        // of each step, the best one first
	end      [past]float32 // metric of the best text that ends a character here
	root     [past]float32 // metric of the best root
	ended    []int64       // the steps, in order, at which a character may have ended
	idle     float32       // metric of the best text that has paused
	idleFrom int64         // step where its last character ended; -1: none did
}

// arcsMax arcs are kept at each step, for the confidences (own choice).
const arcsMax = 4

// rootBeam is how many nats below the best root others are kept (own choice).
const rootBeam = 9

// arc is a character between two gaps: one that ends at a certain step.
type arc struct {
	node  int16   // -1: none
	start int64   // step at which its first mark begins
	score float32 // its metric less that of the best root at start
}

// tail describes the text that ends with an arc.
type tail struct {
	metric            float32 // less that of the best arc
	root              uint8   // index of its root, at the arc's start
	inWord            uint8   // characters of the word so far
	after             context
	logWord, logInner float32 // see expectation.gaps
}

// root is a text that a character may follow.
type root struct {
	metric float32 // less that of the best root; none: there is no such root
	from   int64   // step where its last character ended, -1: none did
	arc    uint8   // index of its last arc, at from
	word   bool    // a gap between words followed
	inWord uint8   // characters that the word has so far
	before context // what was sent last
}

func newTexts(width int) texts {
	return texts{width: width, tails: make([]tail, past*width), roots: make([]root, past*width), ended: make([]int64, 0, 2*past)}
}

// rootsAt are the roots of a step.
func (t *texts) rootsAt(n int64) []root {
	i := int(n&(past-1)) * t.width
	return t.roots[i : i+t.width]
}

// tailsAt are the tails of the first arcs of a step.
func (t *texts) tailsAt(n int64) []tail {
	i := int(n&(past-1)) * t.width
	return t.tails[i : i+t.width]
}

var noArcs = [arcsMax]arc{{node: -1}, {node: -1}, {node: -1}, {node: -1}}

func (t *texts) begin() {
	for i := range past {
		t.end[i], t.root[i] = none, none
		t.arcs[i] = noArcs
	}
	clear(t.tails)
	for i := range t.roots {
		t.roots[i] = root{metric: none, from: -1}
	}
	t.ended = t.ended[:0]
	t.idle, t.idleFrom = 0, -1
}

func (t *texts) lower(by float32) {
	t.idle -= by
	for i := range past {
		t.end[i] -= by
		t.root[i] -= by
	}
}

// endCharacters finds the best characters that end at step n.
func (t *trellis) endCharacters(n int64) {
	x, i, r := &t.texts, n&(past-1), n&(rowsKept-1)
	arcs, froms := &x.arcs[i], [arcsMax]uint8{}
	*arcs = noArcs
	metric := [arcsMax]float32{none / 2, none / 2, none / 2, none / 2}
	mark, start := t.inside.mark[r], t.inside.markStart[r]
	for w, live := range t.inside.markLive[r] {
		for ; live != 0; live &= live - 1 {
			k := w*64 + bits.TrailingZeros64(live)
			if tree[k].logP <= none {
				continue
			}
			logP, from := t.expect.signs.logP(k), uint8(0)
			if x.width > 1 {
				logP, from = t.character(k, start[k])
			}
			v := mark[k] + logP
			if v <= metric[arcsMax-1] {
				continue
			}
			j := arcsMax - 1
			for ; j > 0 && v > metric[j-1]; j-- {
				metric[j], arcs[j], froms[j] = metric[j-1], arcs[j-1], froms[j-1]
			}
			metric[j], arcs[j], froms[j] = v, arc{int16(k), start[k], v - x.root[start[k]&(past-1)]}, from
		}
	}
	x.end[i] = none
	if arcs[0].node < 0 {
		return
	}
	x.end[i] = metric[0]
	x.ended = remember(x.ended, n)
	for j, tails := 0, x.tailsAt(n); j < len(tails) && arcs[j].node >= 0; j++ {
		from := &x.rootsAt(arcs[j].start)[froms[j]]
		a := &tails[j]
		a.metric, a.root = metric[j]-metric[0], froms[j]
		a.inWord = min(from.inWord+1, longestWord)
		a.after = t.expect.after(int(arcs[j].node), from.before)
		a.logWord, a.logInner = t.expect.gaps(a.after, a.inWord)
	}
}

// character is the prior, with plain language, of a character that begins at a step, after the root that it follows best.
func (t *trellis) character(k int, start int64) (logP float32, from uint8) {
	roots := t.texts.rootsAt(start)
	logP = none
	for j := range roots {
		r := &roots[j]
		if r.metric <= none {
			break
		}
		if v := r.metric + t.expect.plain.logP(k, r.before); v > logP {
			logP, from = v, uint8(j)
		}
	}
	return logP, from
}

// wideGaps ends the gaps between characters and words, and pauses.
func (t *trellis) wideGaps(n int64) {
	x, timing := &t.texts, &t.elements.timing
	found := x.rootsAt(n) // at first with their metrics as they are
	for j := range found {
		found[j] = root{metric: none, from: -1}
	}
	characters, words := timing.characters(), timing.betweenWords()
	for i := len(x.ended) - 1; i >= 0; i-- {
		m := x.ended[i]
		d := n - m
		if d >= timing.pause || d >= farBack {
			break
		}
		end := x.end[m&(past-1)]
		if end <= found[len(found)-1].metric { // and no gap makes it more probable
			continue
		}
		if j := d - characters[0].steps; j >= 0 && j < int64(len(characters)) {
			t.follow(found, m, end+characters[j].logP, false)
		}
		if j := d - words[0].steps; j >= 0 && j < int64(len(words)) {
			t.follow(found, m, end+words[j].logP, true)
		}
	}
	keep(found, t.paused(n))
	best := found[0].metric
	for j := range found {
		if found[j].metric < best-rootBeam {
			found[j].metric = none
		} else {
			found[j].metric -= best
		}
	}
	x.root[n&(past-1)] = best
	t.inside.gap[n&(rowsKept-1)][0] = best
	if best > t.leader-beamOfGaps {
		t.inside.gapLive[n&(rowsKept-1)] |= 1
	}
}

// paused is the best text that has paused until step n.
func (t *trellis) paused(n int64) root {
	x, timing := &t.texts, &t.elements.timing
	x.idle += timing.logPauseStep
	if m := n - timing.pause; m >= 0 && timing.pause < farBack {
		logWord, _ := t.gapPriors(&x.tailsAt(m)[0])
		if v := x.end[m&(past-1)] + logWord; v > x.idle {
			x.idle, x.idleFrom = v, m
		}
	}
	r := root{metric: x.idle + timing.logPause, from: x.idleFrom, word: true}
	if x.idleFrom >= 0 && x.idleFrom > n-farBack {
		r.before = blank.after(x.tailsAt(x.idleFrom)[0].after)
	}
	return r
}

// gapPriors are the logarithms of the probabilities of a gap between words and of one between characters. Without plain
// language they are looked up, as words may have learnt since the tail was made.
func (t *trellis) gapPriors(a *tail) (logWord, logInner float32) {
	if t.texts.width == 1 {
		return t.expect.words.logEnds[a.inWord], t.expect.words.logGoesOn[a.inWord]
	}
	return a.logWord, a.logInner
}

// follow adds the texts that end at step m and are followed by a gap. v is the metric of the best one without the prior of
// the gap.
func (t *trellis) follow(found []root, m int64, v float32, word bool) {
	if v <= found[len(found)-1].metric || v < found[0].metric-rootBeam {
		return
	}
	arcs, tails := &t.texts.arcs[m&(past-1)], t.texts.tailsAt(m)
	for j := range tails {
		a := &tails[j]
		if arcs[j].node < 0 || a.metric < -rootBeam {
			break
		}
		logWord, logInner := t.gapPriors(a)
		r := root{v + a.metric + logInner, m, uint8(j), word, a.inWord, a.after}
		if word {
			r.metric, r.inWord, r.before = v+a.metric+logWord, 0, blank.after(a.after)
		}
		keep(found, r)
	}
}

// keep inserts a root among the best, no two of which have the same context.
func keep(found []root, r root) {
	if r.metric <= found[len(found)-1].metric {
		return
	}
	j := len(found) - 1
	for i := range found {
		if found[i].before == r.before && found[i].from >= 0 {
			if r.metric <= found[i].metric {
				return
			}
			j = i
			break
		}
	}
	for ; j > 0 && r.metric > found[j-1].metric; j-- {
		found[j] = found[j-1]
	}
	found[j] = r
}
