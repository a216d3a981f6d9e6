package cw

import (
	"math"
	"math/bits"
)

// plain is what a trellis keeps where plain language is expected. What a character was is then decided by what follows
// too: of each step not only the best text is kept that begins a character there, but several, whose last characters
// differ. Which of them it was is chosen for each character that ends, by its probability after each of them.
type plain struct {
	*language
	roots [past][rootsMax]root
	tails [past][arcsMax]tail // of the arcs of the trellis

	speaks float64   // for plain language and against groups, in nats
	share  float32   // probability of plain language
	usual  []float32 // by node: probability of the character in what is no plain language, times that of this
	most   []float32 // logarithm of the greatest probability after anything
	heard  found     // the character that is learnt from

	// See plainposterior.go.
	later  [past][arcsMax]float32
	base   [past][arcsMax]float32 // of what begins with the arc, but for the prior of its character
	starts [past]float32
	bound  [past]float32 // no text that begins a character there is better, whatever came before
	after  [past]float32
	first  [past]int32
	next   [past][arcsMax]int32
}

// root is a text that a character may follow.
type root struct {
	metric float32 // over that of the best
	from   int64   // step where its last character ended, -1: none did
	arc    uint8   // which of those that ended there
	word   bool    // a gap between words followed
	inWord uint8   // characters that the word has so far
	before context // the last two that were sent
}

// tail is what is known of an arc besides.
type tail struct {
	metric            float32 // over that of the best
	root              uint8   // of those of its start
	inWord            uint8
	after             context
	logWord, logInner float32 // prior of a gap between words, and between characters
}

const (
	rootsMax   = 4
	rootBeam   = 9   // nats below the best root that are worth keeping
	usualPlain = 0.7 // probability of plain language before anything is heard, by whoever orders it
	mostPlain  = 3.5 // nats: neither is ever surer than this
)

func newPlain() *plain {
	return &plain{language: english(), usual: make([]float32, len(tree)), most: make([]float32, len(tree))}
}

// forget begins with what is expected.
func (p *plain) forget(w *words) {
	p.speaks = math.Log(usualPlain / (1 - usualPlain))
	p.weigh(w)
}

func (p *plain) weigh(w *words) {
	p.speaks = min(max(p.speaks, -mostPlain), mostPlain)
	p.share = float32(1 / (1 + math.Exp(-p.speaks)))
	for k, n := range tree {
		if n.logP > none {
			p.usual[k] = (1 - p.share) * float32(math.Exp(float64(w.logP(k))))
			p.most[k] = ln(p.usual[k] + p.share*p.greatest[k])
		}
	}
}

func (p *plain) begin() {
	p.roots, p.tails = [past][rootsMax]root{}, [past][arcsMax]tail{}
	for i := range p.roots {
		for j := range p.roots[i] {
			p.roots[i][j] = root{metric: none, from: -1, before: nowhere}
		}
	}
}

// logP is the prior of the character of a node after others.
func (p *plain) logP(k int, before context) float32 {
	return ln(p.usual[k] + p.share*p.character[before][k])
}

// gap is the probability of a gap between words after so many characters of one.
func (p *plain) gap(t *trellis, before context, inWord uint8) float64 {
	return float64(p.share*p.language.gap[before]) + float64(1-p.share)*math.Exp(float64(t.logWordAfter[inWord]))
}

// word is the probability that the gap before the character that is learnt from is one between words, by the likelihoods
// of its length, what was sent before it and that character.
func (p *plain) word(t *trellis, ifWord, ifCharacter float64, inWord uint8) float64 {
	before, k := p.heard.beforeGap, int(p.heard.node)
	gap := p.gap(t, before, inWord)
	ifWord *= gap * math.Exp(float64(p.logP(k, blank.after(before))))
	ifCharacter *= (1 - gap) * math.Exp(float64(p.logP(k, before)))
	return ifWord / (ifWord + ifCharacter)
}

// ends is the language-model version of trellis.ends.
func (p *plain) ends(t *trellis, n int64) {
	i := n & (past - 1)
	arcs, tails := &t.arcs[i], &p.tails[i]
	*arcs = [arcsMax]arc{{node: -1}, {node: -1}, {node: -1}, {node: -1}}
	metric := [arcsMax]float32{none / 2, none / 2, none / 2, none / 2}
	mark, start := t.mark[n&(rows-1)], t.markStart[n&(rows-1)]
	for w, live := range t.markLive[n&(rows-1)] {
		for ; live != 0; live &= live - 1 {
			k := w*64 + bits.TrailingZeros64(live)
			if tree[k].logP <= none {
				continue
			}
			s := start[k] & (past - 1)
			best, from := none, 0
			for j := range p.roots[s] {
				r := &p.roots[s][j]
				if r.metric <= none {
					break
				}
				if v := r.metric + p.logP(k, r.before); v > best {
					best, from = v, j
				}
			}
			v := mark[k] + best
			if v <= metric[arcsMax-1] {
				continue
			}
			j := arcsMax - 1
			for ; j > 0 && v > metric[j-1]; j-- {
				metric[j], arcs[j], tails[j] = metric[j-1], arcs[j-1], tails[j-1]
			}
			metric[j] = v
			arcs[j] = arc{int16(k), start[k], v - t.root[s]}
			tails[j].root = uint8(from)
		}
	}
	t.end[i], t.inWord[i] = none, 0
	if arcs[0].node < 0 {
		return
	}
	t.end[i] = metric[0]
	t.ended = remember(t.ended, n)
	for j := range arcs {
		if arcs[j].node < 0 {
			break
		}
		a := &tails[j]
		r := &p.roots[arcs[j].start&(past-1)][a.root]
		a.metric = metric[j] - metric[0]
		a.after = p.class[arcs[j].node].after(r.before)
		a.inWord = min(r.inWord+1, longestWord)
		gap := p.gap(t, a.after, a.inWord)
		a.logWord, a.logInner = float32(math.Log(gap)), float32(math.Log(1-gap))
	}
	t.inWord[i] = tails[0].inWord
}

// wideGaps is the language-model version of trellis.wideGaps.
func (p *plain) wideGaps(t *trellis, n int64) {
	var found [rootsMax]root // with their metrics as they are
	for j := range found {
		found[j] = root{metric: none, from: -1, before: nowhere}
	}
	characters, words := t.wide[:t.timing.words], t.wide[t.timing.words:]
	for i := len(t.ended) - 1; i >= 0; i-- {
		m := t.ended[i]
		d := n - m
		if d >= t.pause || d >= farBack {
			break
		}
		end := t.end[m&(past-1)]
		if j := d - characters[0].steps; j >= 0 && j < int64(len(characters)) {
			p.follow(t, &found, m, end+characters[j].logP, false)
		}
		if j := d - words[0].steps; j >= 0 && j < int64(len(words)) {
			p.follow(t, &found, m, end+words[j].logP, true)
		}
	}
	t.idle += t.logPauseStep
	if t.pause <= n && t.pause < farBack {
		m := (n - t.pause) & (past - 1)
		if v := t.end[m] + p.tails[m][0].logWord; v > t.idle {
			t.idle, t.idleFrom = v, n-t.pause
		}
	}
	silent := root{metric: t.idle + t.logPause, from: t.idleFrom, word: true, before: nowhere}
	if t.idleFrom >= 0 && t.idleFrom > n-farBack {
		silent.before = blank.after(p.tails[t.idleFrom&(past-1)][0].after)
	}
	keep(&found, silent)
	i := n & (past - 1)
	best := found[0].metric
	for j := range found {
		if found[j].metric < best-rootBeam {
			found[j].metric = none
		} else {
			found[j].metric -= best
		}
	}
	p.roots[i] = found
	t.root[i], t.rootFrom[i], t.rootWord[i], t.before[i] = best, found[0].from, found[0].word, found[0].inWord
	t.gapM[n&(rows-1)][0] = best
	if best > t.leader-beamOfGaps {
		t.gapLive[n&(rows-1)] |= 1
	}
}

// follow adds the texts that end at step m, with a gap of either kind after them; the best has the metric v without the
// prior of the gap.
func (p *plain) follow(t *trellis, found *[rootsMax]root, m int64, v float32, word bool) {
	i := m & (past - 1)
	if v < found[0].metric-rootBeam {
		return
	}
	for j := range t.arcs[i] {
		a := &p.tails[i][j]
		if t.arcs[i][j].node < 0 || a.metric < -rootBeam {
			break
		}
		r := root{v + a.metric + a.logInner, m, uint8(j), word, a.inWord, a.after}
		if word {
			r.metric, r.inWord, r.before = v+a.metric+a.logWord, 0, blank.after(a.after)
		}
		keep(found, r)
	}
}

// keep puts a root among the best, of which no two have the same context.
func keep(found *[rootsMax]root, r root) {
	if r.metric <= found[rootsMax-1].metric {
		return
	}
	j := rootsMax - 1
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

// path is the language-model version of trellis.path, from the end of r.
func (p *plain) path(dst []found, t *trellis, r root, since, until int64) []found {
	for r.from > since && r.from >= 0 && r.from > t.n-farBack {
		end := r.from
		i := end & (past - 1)
		a := t.arcs[i][r.arc]
		if a.node < 0 || a.start < t.n-farBack {
			break
		}
		f := found{node: a.node, start: a.start, end: end, arc: int(r.arc)}
		r = p.roots[a.start&(past-1)][p.tails[i][r.arc].root]
		f.from, f.word, f.before = r.from, r.word, r.before
		if r.from > t.n-farBack && r.from >= 0 {
			f.length = p.tails[r.from&(past-1)][r.arc].inWord
			f.beforeGap = p.tails[r.from&(past-1)][r.arc].after
		}
		if end <= until {
			dst = append(dst, f)
		}
	}
	return dst
}

// noWords begins with what is usual.
func (t *trellis) noWords() {
	t.words.noWords()
	if t.plain != nil {
		t.plain.forget(&t.words)
	}
}

// heardSign takes the sign of the character that is learnt from.
func (t *trellis) heardSign(k kind, sure float64) {
	if p := t.plain; p != nil && sure > 0 {
		ratio := float64(p.character[p.heard.before][p.heard.node]) / math.Exp(float64(t.words.logP(int(p.heard.node))))
		p.speaks += math.Log(sure*ratio + 1 - sure)
	}
	t.words.heardSign(k, sure)
	if p := t.plain; p != nil {
		p.weigh(&t.words)
	}
}

// heardGap takes the gap before it.
func (t *trellis) heardGap(after uint8, ifWord, ifCharacter, word float64) {
	if p := t.plain; p != nil {
		plain, usual := float64(p.language.gap[p.heard.beforeGap]), math.Exp(float64(t.logWordAfter[after]))
		p.speaks += math.Log((plain*ifWord + (1-plain)*ifCharacter) / (usual*ifWord + (1-usual)*ifCharacter))
		p.weigh(&t.words)
	}
	t.words.heardGap(after, ifWord, ifCharacter, word)
}

func ln(x float32) float32 { return float32(math.Log(float64(x))) }
