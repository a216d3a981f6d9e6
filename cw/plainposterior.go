package cw

import (
	"math"
	"math/bits"
)

// look is that of the posterior: later is the metric of the best end of the text, from the end of each arc, with the
// probability of what follows it after that arc.
func (p *plain) look(t *trellis) {
	first := max(0, t.n-window)
	for n := first; n < t.n; n++ {
		p.starts[n&(past-1)], p.first[n&(past-1)] = none, -1
	}
	for i := max(first, t.n-3*gridSteps); i < t.n; i++ {
		for w, live := range t.markLive[i&(rows-1)] {
			for ; live != 0; live &= live - 1 {
				k := w*64 + bits.TrailingZeros64(live)
				if s := t.markStart[i&(rows-1)][k]; s >= first {
					b := &p.starts[s&(past-1)]
					*b = max(*b, t.mark[i&(rows-1)][k]-t.root[s&(past-1)])
				}
			}
		}
	}
	total := max(t.idle, t.top())
	for n := max(0, t.n-t.pause); n < t.n; n++ {
		total = max(total, t.end[n&(past-1)])
	}
	copy(p.bound[:], p.starts[:])
	after := none // the best of any start from here on
	for n := t.n - 1; n >= first; n-- {
		i := n & (past - 1)
		after = max(after, p.starts[i])
		for at := p.first[i]; at >= 0; at = p.next[at/arcsMax][at%arcsMax] {
			after = max(after, t.arcs[at/arcsMax][at%arcsMax].score+p.later[at/arcsMax][at%arcsMax])
		}
		p.after[i] = after
		p.later[i] = [arcsMax]float32{none, none, none, none}
		for j := range t.arcs[i] {
			a, tail := &t.arcs[i][j], &p.tails[i][j]
			if a.node < 0 || tail.metric < -leastLn {
				break
			}
			end := none
			if t.n-n <= t.pause {
				end = 0 // silence until now
			} else if v := p.after[(n+t.pause)&(past-1)] + t.logPause + tail.logWord; v > 0 {
				end = v
			} else {
				end = float32(t.n-n-t.pause) * t.logPauseStep
			}
			// The most promising gap first: most others are then known to be worse.
			best, most := -1, none
			for g := range t.wide {
				if v := p.atMost(t, n, j, g); v > most {
					best, most = g, v
				}
			}
			// What is not likely enough to count is left out.
			if t.end[i]+tail.metric+max(end, most) < total-leastLn {
				continue
			}
			if best >= 0 {
				end = max(end, p.goOn(t, n, j, best, end))
			}
			for g := range t.wide {
				if g != best && p.atMost(t, n, j, g) > end {
					end = max(end, p.goOn(t, n, j, g, end))
				}
			}
			p.later[i][j] = end
			if a.start >= first {
				s := a.start & (past - 1)
				p.next[i][j], p.first[s] = p.first[s], int32(int(i)*arcsMax+j)
				// The score has the prior after the root that was the best.
				r := &p.roots[s][tail.root]
				p.base[i][j] = a.score - r.metric - p.logP(int(a.node), r.before) + end
				p.bound[s] = max(p.bound[s], p.base[i][j]+p.most[a.node])
			}
		}
	}
}

// atMost is the metric that goOn cannot surpass.
func (p *plain) atMost(t *trellis, n int64, j, g int) float32 {
	to := n + t.wide[g].steps
	if to >= t.n {
		return none
	}
	v := t.wide[g].logP + p.bound[to&(past-1)]
	if g >= t.timing.words {
		return v + p.tails[n&(past-1)][j].logWord
	}
	return v + p.tails[n&(past-1)][j].logInner
}

// goOn is the metric of the best end of the text after arc j that ends at step n and gap number g, if it is above least.
func (p *plain) goOn(t *trellis, n int64, j, g int, least float32) float32 {
	s, tail := (n+t.wide[g].steps)&(past-1), &p.tails[n&(past-1)][j]
	before, v := tail.after, t.wide[g].logP+tail.logInner
	if g >= t.timing.words {
		before, v = blank.after(before), t.wide[g].logP+tail.logWord
	}
	best := max(p.starts[s], least-v)
	for at := p.first[s]; at >= 0; at = p.next[at/arcsMax][at%arcsMax] {
		i, k := at/arcsMax, at%arcsMax
		node := int(t.arcs[i][k].node)
		if base := p.base[i][k]; base+p.most[node] > best {
			best = max(best, base+p.logP(node, before))
		}
	}
	return v + best
}

// of is the probability of a character on the best path, which is then learnt from.
func (p *plain) of(t *trellis, c found) float64 {
	p.heard = c
	first := max(0, t.n-window)
	cut := (c.start + c.end) / 2
	if c.start < first {
		return 0.5
	}
	at := c.end & (past - 1)
	best := t.end[at] + p.tails[at][c.arc].metric + p.later[at][c.arc]
	same, all := 0.0, 0.0
	weigh := func(v float32) float64 {
		if d := float64(v - best); d > -leastLn {
			return math.Exp(min(d, 50))
		}
		return 0
	}
	for n := cut + 1; n < min(t.n, cut+longestCharacter); n++ {
		i := n & (past - 1)
		for j := range t.arcs[i] {
			a := &t.arcs[i][j]
			if a.node < 0 || p.tails[i][j].metric < -leastLn {
				break
			}
			if a.start > cut || a.start < first {
				continue
			}
			w := weigh(t.end[i] + p.tails[i][j].metric + p.later[i][j])
			all += w
			if a.node == c.node && a.start-c.start <= near && c.start-a.start <= near && n-c.end <= near && c.end-n <= near {
				same += w
			}
		}
	}
	for m := max(first, cut-2*WordGapDots*gridSteps); m < cut; m++ {
		i := m & (past - 1)
		for j := range t.arcs[i] {
			if t.arcs[i][j].node < 0 || p.tails[i][j].metric < -leastLn {
				break
			}
			v := t.end[i] + p.tails[i][j].metric
			if v+p.later[i][j]-best < -leastLn {
				continue
			}
			for g := range t.wide {
				if m+t.wide[g].steps > cut && v+p.atMost(t, m, j, g) > best-leastLn {
					all += weigh(v + p.goOn(t, m, j, g, none))
				}
			}
		}
	}
	if all <= 0 {
		return 0
	}
	return calibrated(same / all)
}
