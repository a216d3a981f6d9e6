package cw

// found is a character of the best text.
type found struct {
	node       int16
	start, end int64
	arc        int   // its index among those that end there
	from       int64 // end of the character before; -1: there is none
	word       bool  // a word gap comes before
	length     uint8 // characters of the word before that gap, or so far
	// What was sent before it, and before the gap; with plain language only.
	before, beforeGap context
}

// path lists the characters of the best text that end after the step since and not after the step until, the last one
// first.
func (t *trellis) path(dst []found, since, until int64) []found {
	x, n := &t.texts, t.elements.n
	best, at, k := t.lastMark()
	r, quiet := root{from: x.idleFrom}, x.idle
	for m := max(0, n-min(t.elements.timing.pause, farBack)); m < n; m++ { // silence since then
		if v := x.end[m&(past-1)]; v > quiet {
			quiet, r.from = v, m
		}
	}
	if best > quiet { // in the middle of a character
		start := t.inside.markStart[at&(rowsKept-1)][k]
		if start < n-farBack {
			return dst
		}
		r = x.rootsAt(start)[0]
	}
	for r.from > since && r.from >= 0 && r.from > n-farBack {
		end := r.from
		a := &x.arcs[end&(past-1)][r.arc]
		if a.node < 0 || a.start < n-farBack {
			break
		}
		f := found{node: a.node, start: a.start, end: end, arc: int(r.arc)}
		r = x.rootsAt(a.start)[x.tailsAt(end)[r.arc].root]
		f.from, f.word, f.before = r.from, r.word, r.before
		if r.from >= 0 && r.from > n-farBack {
			before := &x.tailsAt(r.from)[r.arc]
			f.length, f.beforeGap = before.inWord, before.after
		}
		if end <= until {
			dst = append(dst, f)
		}
	}
	return dst
}

// parts calls f with the lengths of a character on the path, the last one first: the step where it ends, and its steps.
func (t *trellis) parts(c found, f func(l length, end, steps int64)) {
	const off = 2 // steps: the path of a mark was overwritten if it is further before the character's start
	n, k := c.end, int(c.node)
	for p := tree[k].pattern; p > 1; {
		d := int64(t.inside.markLen[n&(past-1)][k])
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
		g := int64(t.inside.gapLen[n&(past-1)][k])
		f(gapLength, n, g)
		n -= g
		if n < c.start-off {
			break
		}
	}
}

// isWord is the probability that the gap before a character is one between words, as one between characters may be as
// long.
func (t *trellis) isWord(c found) float64 {
	ifWord, ifCharacter := t.gapLikelihoods(c)
	return t.expect.isWord(c, ifWord, ifCharacter)
}

// gapLikelihoods are those of the length of the gap before a character as one between words and as one between characters.
func (t *trellis) gapLikelihoods(c found) (ifWord, ifCharacter float64) {
	steps, timing := c.start-c.from, &t.elements.timing
	ifCharacter, ifWord = likelihoodOf(timing.characters(), steps), likelihoodOf(timing.betweenWords(), steps)
	if ifWord == 0 && ifCharacter == 0 { // a pause
		ifWord = 1
	}
	return ifWord, ifCharacter
}
