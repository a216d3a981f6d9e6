package cw

import (
	"math"
	"math/bits"
)

// posterior tells how probable a character of the best text is: of all texts that the trellis still keeps, each cut at the
// middle of the character, the share that has it there. Each character and gap across the cut stands for the best text
// through it.
//
// It goes back over the window once. Where what follows depends on what came before, in plain language, bound says which of
// the texts that begin at a step are worth looking at.
type posterior struct {
	later  [past][arcsMax]float32 // metric of the best end of the text, from the end of each arc
	open   [past]float32          // the same from the beginning of a character that still goes on,
	starts [past]float32          // from the beginning of any character, by the prior with which it was found,
	bound  [past]float32          // and at most, whatever came before
	after  [past]float32          // the best of starts from here on
	begun  []int64                // the steps at which a character begins, the last one first

	// With plain language: the arcs that begin at a step, as a list, and what begins with each but for the prior of its
	// character.
	first [past]int32 // number of the arc, -1: none; arc j that ends at step n has the number n%past·arcsMax+j
	next  [past * arcsMax]int32
	base  [past * arcsMax]float32
	node  [past * arcsMax]int16
}

const (
	window = 72 * gridSteps // steps back in which texts are compared: 72 dots, of which the last lagDots are undecided

	near          = gridSteps * 3 / 4 // steps between two timings of the same character: less than a dot
	leastLn       = 12                // what is so much less likely, in nats, does not count: 6 in a million
	unknownBefore = 0.5               // confidence of a character that began before the window

	// longestCharacter in steps: eight dots or five dashes are 15 or 19 dots.
	longestCharacter = 24 * gridSteps
	// longestGap in steps, of those that cross a cut; pauses do not matter.
	longestGap = 2 * WordGapDots * gridSteps
)

func newPosterior() *posterior { return &posterior{begun: make([]int64, 0, window)} }

// look goes back over the window, from the present.
func (p *posterior) look(t *trellis) {
	now := t.elements.n
	first := max(0, now-window)
	p.openMarks(t, first)
	least := none
	if t.expect.plain != nil {
		least = t.bestEnd() - leastLn
	}
	after := none
	p.begun = p.begun[:0]
	for n := now - 1; n >= first; n-- {
		i := n & (past - 1)
		if p.bound[i] > none/2 {
			p.begun = append(p.begun, n)
		}
		after = max(after, p.starts[i])
		p.after[i] = after
		p.endings(t, n, first, least)
	}
}

// openMarks finds the metrics of characters that still go on.
func (p *posterior) openMarks(t *trellis, first int64) {
	now := t.elements.n
	for n := first; n < now; n++ {
		i := n & (past - 1)
		p.open[i], p.first[i] = none, -1
	}
	for n := max(first, now-recentMarks); n < now; n++ {
		r := n & (rowsKept - 1)
		for w, live := range t.inside.markLive[r] {
			for ; live != 0; live &= live - 1 {
				k := w*64 + bits.TrailingZeros64(live)
				if s := t.inside.markStart[r][k]; s >= first {
					b := &p.open[s&(past-1)]
					*b = max(*b, t.inside.mark[r][k]-t.texts.root[s&(past-1)])
				}
			}
		}
	}
	for n := first; n < now; n++ {
		i := n & (past - 1)
		p.starts[i], p.bound[i] = p.open[i], p.open[i]
	}
}

// bestEnd is the metric of the best text now.
func (t *trellis) bestEnd() float32 {
	best, _, _ := t.lastMark()
	best = max(best, t.texts.idle)
	for n := max(0, t.elements.n-t.elements.timing.pause); n < t.elements.n; n++ {
		best = max(best, t.texts.end[n&(past-1)])
	}
	return best
}

// endings finds how the texts best go on that end a character at step n. Those whose metric is then below least are left
// out.
func (p *posterior) endings(t *trellis, n, first int64, least float32) {
	i := n & (past - 1)
	later := &p.later[i]
	*later = [arcsMax]float32{none, none, none, none}
	arcs, tails := &t.texts.arcs[i], t.texts.tailsAt(n)
	for j := range arcs {
		a := &arcs[j]
		if a.node < 0 {
			return
		}
		if j < len(tails) {
			if tails[j].metric < -leastLn {
				return
			}
			later[j] = p.ending(t, n, &tails[j], t.texts.end[i]+tails[j].metric, least)
		} else {
			later[j] = later[0] // all are gone on from as the best one is
		}
		if a.start >= first && later[j] > none {
			p.link(t, a, &tails[min(j, len(tails)-1)], later[j], int32(int(i)*arcsMax+j))
		}
	}
}

// link adds an arc and its tail to those that begin where it does; later is the metric of what follows it.
func (p *posterior) link(t *trellis, a *arc, end *tail, later float32, number int32) {
	s := a.start & (past - 1)
	p.starts[s] = max(p.starts[s], a.score+later)
	if t.expect.plain == nil {
		p.bound[s] = p.starts[s]
		return
	}
	p.next[number], p.first[s] = p.first[s], number
	// The score has the prior after the root that was the best.
	r := &t.texts.rootsAt(a.start)[end.root]
	p.node[number] = a.node
	p.base[number] = a.score - r.metric - t.expect.plain.logP(int(a.node), r.before) + later
	p.bound[s] = max(p.bound[s], p.base[number]+t.expect.plain.most[a.node])
}

// ending is the metric of the best end of a text that ends a character at step n with the metric reached; none if it is
// then below least.
func (p *posterior) ending(t *trellis, n int64, a *tail, reached, least float32) float32 {
	timing := &t.elements.timing
	logWord, logInner := t.gapPriors(a)
	end, silence := none, t.elements.n-n
	if silence <= timing.pause {
		end = 0 // silence until now
	} else if v := p.after[(n+timing.pause)&(past-1)] + timing.logPause + logWord; v > 0 {
		end = v
	} else {
		end = float32(silence-timing.pause) * timing.logPauseStep
	}
	// The most promising gap first: most others are then known to be worse.
	characters, words := timing.characters(), timing.betweenWords()
	best, word := p.bestGaps(n, timing, logInner, logWord)
	isWord := word.bound > best.bound
	if isWord {
		best = word
	}
	switch {
	case reached+max(end, best.bound) < least:
		return none
	case t.expect.plain == nil:
		return max(end, best.bound)
	case best.to < 0:
		return end
	}
	x := t.expect.plain
	if isWord {
		end = max(end, p.beginning(x, best.to, blank.after(a.after), best.logP+logWord, end))
		end = p.otherGaps(x, n, timing.pause, characters, -1, a.after, logInner, end)
		return p.otherGaps(x, n, timing.pause, words, best.to, blank.after(a.after), logWord, end)
	}
	end = max(end, p.beginning(x, best.to, a.after, best.logP+logInner, end))
	end = p.otherGaps(x, n, timing.pause, characters, best.to, a.after, logInner, end)
	return p.otherGaps(x, n, timing.pause, words, -1, blank.after(a.after), logWord, end)
}

// wideGap is one that ends where a character begins.
type wideGap struct {
	bound float32 // metric of the best text that goes on there, whatever came before
	logP  float32 // of its length
	to    int64   // step where it ends, -1: there is none
}

// bestGaps finds the most promising gaps from step n on, between characters and between words.
func (p *posterior) bestGaps(n int64, timing *timing, logInner, logWord float32) (character, word wideGap) {
	character, word = wideGap{none, 0, -1}, wideGap{none, 0, -1}
	characters, words := timing.characters(), timing.betweenWords()
	fromC, fromW := characters[0].steps, words[0].steps
	for k := len(p.begun) - 1; k >= 0; k-- {
		to := p.begun[k]
		d, bound := to-n, p.bound[to&(past-1)]
		if d >= timing.pause {
			break
		}
		if j := d - fromC; j >= 0 && j < int64(len(characters)) {
			if v := characters[j].logP + bound + logInner; v > character.bound {
				character = wideGap{v, characters[j].logP, to}
			}
		}
		if j := d - fromW; j >= 0 && j < int64(len(words)) {
			if v := words[j].logP + bound + logWord; v > word.bound {
				word = wideGap{v, words[j].logP, to}
			}
		}
	}
	return character, word
}

// otherGaps is the metric end, or that of a text that goes on after another gap of a kind than that to a step, if it is
// greater.
func (p *posterior) otherGaps(x *plain, n, pause int64, lengths []span, but int64, before context, prior, end float32) float32 {
	for k := len(p.begun) - 1; k >= 0; k-- {
		to := p.begun[k]
		if to-n >= pause {
			break
		}
		if j := to - n - lengths[0].steps; j >= 0 && j < int64(len(lengths)) && to != but {
			if lengths[j].logP+p.bound[to&(past-1)]+prior > end {
				end = max(end, p.beginning(x, to, before, lengths[j].logP+prior, end))
			}
		}
	}
	return end
}

// beginning is the metric of the best text that begins a character at a step, plus v, if that is above least.
func (p *posterior) beginning(x *plain, n int64, before context, v, least float32) float32 {
	s := n & (past - 1)
	best := max(p.open[s], least-v)
	for at := p.first[s]; at >= 0; at = p.next[at] {
		node := p.node[at]
		if base := p.base[at]; base+x.most[node] > best {
			best = max(best, base+x.logP(int(node), before))
		}
	}
	return v + best
}

// of is the probability of a character on the best path.
func (p *posterior) of(t *trellis, c found) float64 {
	now := t.elements.n
	first := max(0, now-window)
	cut := (c.start + c.end) / 2
	if c.start < first {
		return unknownBefore
	}
	// The best text through the character, to which all are compared.
	i := c.end & (past - 1)
	best := t.texts.root[c.start&(past-1)] + p.later[i][c.arc] + t.texts.arcs[i][c.arc].score
	same, all := 0.0, 0.0
	for n := cut + 1; n < min(now, cut+longestCharacter); n++ {
		i := n & (past - 1)
		for j := range t.texts.arcs[i] {
			a := &t.texts.arcs[i][j]
			if a.node < 0 || a.start > cut || a.start < first {
				continue
			}
			w := weight(t.texts.root[a.start&(past-1)] + a.score + p.later[i][j] - best)
			all += w
			if a.node == c.node && abs64(a.start-c.start) <= near && abs64(n-c.end) <= near {
				same += w
			}
		}
	}
	for m := max(first, cut-longestGap); m < cut; m++ {
		all = p.across(t, m, cut, best, all)
	}
	if all <= 0 {
		return 0
	}
	return calibrated(same / all)
}

// across adds the weights of all texts that end a character at step n and begin the next one after a cut.
func (p *posterior) across(t *trellis, n, cut int64, best float32, sum float64) float64 {
	i, timing := n&(past-1), &t.elements.timing
	for j, tails := 0, t.texts.tailsAt(n); j < len(tails) && t.texts.arcs[i][j].node >= 0; j++ {
		a := &tails[j]
		v := t.texts.end[i] + a.metric
		if v+p.later[i][j]-best < -leastLn {
			continue
		}
		logWord, logInner := t.gapPriors(a)
		for g := range timing.wide {
			to := n + timing.wide[g].steps
			if to <= cut || to >= t.elements.n {
				continue
			}
			logP, prior, before := timing.wide[g].logP, logInner, a.after
			if g >= timing.words {
				prior, before = logWord, blank.after(a.after)
			}
			switch x := t.expect.plain; {
			case x == nil:
				sum += weight(v + logP + prior + p.starts[to&(past-1)] - best)
			case v+(logP+p.bound[to&(past-1)]+prior) > best-leastLn:
				sum += weight(v + p.beginning(x, to, before, logP+prior, none) - best)
			}
		}
	}
	return sum
}

// weight is the likelihood of a text by its metric over that of the best one.
func weight(metric float32) float64 {
	const most = 50 // nats; a text through another character may be better
	if d := float64(metric); d > -leastLn {
		return math.Exp(min(d, most))
	}
	return 0
}

func abs64(x int64) int64 { return max(x, -x) }

// calibrated makes of the share a confidence: the best texts stand for many that are nearly like them, so that the
// odds of the likeliest are underrated (measured by grade cw, machine, -10 to -7 dB).
func calibrated(share float64) float64 {
	const better = 2.7 // odds
	return share * better / (share*better + 1 - share)
}
