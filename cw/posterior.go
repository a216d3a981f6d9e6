package cw

import (
	"math"
	"math/bits"
)

// posterior tells how probable a character of the best text is: of all texts that the trellis still has in mind, each
// cut at the middle of the character, the share that has it there. Each character and gap across the cut stands for
// the best text through it.
type posterior struct {
	ends, starts [past]float32 // metric of the best end of the text, from the end of a character and from the start of one
	later        [past]float32 // the best of starts from here on
	now          int64
	begun        []int64 // the steps at which a character begins, the last one first
}

// window is how far back in steps the texts are compared.
const window = 72 * gridSteps

const (
	near    = gridSteps * 3 / 4 // steps between two timings of the same thing
	leastLn = 12                // what is so much less likely, in nats, does not count
)

// look goes back over the window, from the present.
func (p *posterior) look(t *trellis) {
	p.now = t.n
	if t.plain != nil {
		t.plain.look(t)
		return
	}
	first := max(0, t.n-window)
	for n := first; n < t.n; n++ {
		p.starts[n&(past-1)], p.ends[n&(past-1)] = none, none
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
	later := none
	characters, words := t.wide[:t.timing.words], t.wide[t.timing.words:]
	p.begun = p.begun[:0]
	for n := t.n - 1; n >= first; n-- {
		i := n & (past - 1)
		if p.starts[i] > none/2 {
			p.begun = append(p.begun, n)
		}
		later = max(later, p.starts[i])
		p.later[i] = later
		if t.arcs[i][0].node < 0 {
			continue
		}
		end := none
		if t.n-n <= t.pause {
			end = 0 // silence until now
		} else if v := p.later[(n+t.pause)&(past-1)] + t.logPause + t.logWordAfter[t.inWord[i]]; v > 0 {
			end = v
		} else {
			end = float32(t.n-n-t.pause) * t.logPauseStep
		}
		ifCharacter, ifWord := t.logCharacterAfter[t.inWord[i]], t.logWordAfter[t.inWord[i]]
		for k := len(p.begun) - 1; k >= 0; k-- {
			at := p.begun[k]
			d, v := at-n, p.starts[at&(past-1)]
			if d >= t.pause {
				break
			}
			if j := d - characters[0].steps; j >= 0 && j < int64(len(characters)) {
				end = max(end, v+characters[j].logP+ifCharacter)
			}
			if j := d - words[0].steps; j >= 0 && j < int64(len(words)) {
				end = max(end, v+words[j].logP+ifWord)
			}
		}
		p.ends[i] = end
		for j := range t.arcs[i] {
			if a := &t.arcs[i][j]; a.node >= 0 && a.start >= first {
				b := &p.starts[a.start&(past-1)]
				*b = max(*b, a.score+end)
			}
		}
	}
}

// of is the probability of a character on the best path.
func (p *posterior) of(t *trellis, c found) float64 {
	if t.plain != nil {
		return t.plain.of(t, c)
	}
	first := max(0, t.n-window)
	cut := (c.start + c.end) / 2
	if c.start < first {
		return 0.5
	}
	// The best text through the character, to which all are compared.
	best := t.root[c.start&(past-1)] + p.ends[c.end&(past-1)]
	for _, a := range t.arcs[c.end&(past-1)] {
		if a.node == c.node && a.start == c.start {
			best += a.score
			break
		}
	}
	same, all := 0.0, 0.0
	weigh := func(v float32) float64 {
		if d := float64(v - best); d > -leastLn {
			return math.Exp(min(d, 50))
		}
		return 0
	}
	for n := cut + 1; n < min(t.n, cut+longestCharacter); n++ {
		for _, a := range t.arcs[n&(past-1)] {
			if a.node < 0 || a.start > cut || a.start < first {
				continue
			}
			w := weigh(t.root[a.start&(past-1)] + a.score + p.ends[n&(past-1)])
			all += w
			if a.node == c.node && a.start-c.start <= near && c.start-a.start <= near && n-c.end <= near && c.end-n <= near {
				same += w
			}
		}
	}
	for m := max(first, cut-2*WordGapDots*gridSteps); m < cut; m++ {
		v := t.end[m&(past-1)]
		if v+p.ends[m&(past-1)]-best < -leastLn {
			continue
		}
		for j, g := range t.wide {
			if at := m + g.steps; at > cut && at < t.n {
				all += weigh(v + g.logP + t.logAfter(m, j) + p.starts[at&(past-1)])
			}
		}
	}
	if all <= 0 {
		return 0
	}
	return calibrated(same / all)
}

// calibrated makes of the share a confidence: the best texts stand for many that are nearly like them, so that the
// odds of the likeliest are underrated (measured by grade cw, machine, -10 to -7 dB).
func calibrated(share float64) float64 {
	const better = 2.7 // odds
	return share * better / (share*better + 1 - share)
}

// longestCharacter in steps: eight dots or five dashes are 15 or 19 dots.
const longestCharacter = 24 * gridSteps
