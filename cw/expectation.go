package cw

import "math"

// expectation predicts what a sender sends next: characters and gaps as in groups and call signs, and, if plain language is
// ordered, as in plain language too. The two are mixed by how well each has predicted what was received, so that nothing is
// ever ruled out.
type expectation struct {
	words words
	signs signs
	plain *plain // nil: plain language is not expected
}

// plain is the share of plain language in what is expected.
type plain struct {
	*language
	evidence float64   // for plain language and against groups, in nats
	share    float32   // probability of plain language
	usual    []float32 // by node: probability of the character in groups, times 1 - share
	most     []float32 // by node: logarithm of the greatest probability after any context
}

const (
	rootsMax     = 4   // texts to remember at a step, as many as arcs (own choice)
	orderedPlain = 0.7 // probability of plain language before anything is heard, as whoever orders it has a reason (own choice)
	mostPlain    = 3.5 // nats: neither is ever surer than this: 97 % (own choice)
)

func newExpectation(plainLanguage bool) expectation {
	if !plainLanguage {
		return expectation{}
	}
	return expectation{plain: &plain{language: english(), usual: make([]float32, len(tree)), most: make([]float32, len(tree))}}
}

// remembers is how many texts must be kept at each step.
func (x *expectation) remembers() int {
	if x.plain == nil {
		return 1
	}
	return rootsMax
}

// reset forgets all that was heard.
func (x *expectation) reset() {
	x.words.reset()
	x.signs = signs{}
	if x.plain != nil {
		x.plain.evidence = math.Log(orderedPlain / (1 - orderedPlain))
		x.plain.weigh(&x.signs)
	}
}

// after is the context after a character.
func (x *expectation) after(k int, before context) context {
	if x.plain == nil {
		return nowhere
	}
	return x.plain.class[k].after(before)
}

// gaps are the logarithms of the probabilities of a gap between words after so many characters of one, and of one between
// characters.
func (x *expectation) gaps(before context, inWord uint8) (logWord, logInner float32) {
	if x.plain == nil {
		return x.words.logEnds[inWord], x.words.logGoesOn[inWord]
	}
	gap := x.gap(before, inWord)
	return float32(math.Log(gap)), float32(math.Log(1 - gap))
}

// gap is the probability of a gap between words where plain language is expected.
func (x *expectation) gap(before context, inWord uint8) float64 {
	p := x.plain
	return float64(p.share*p.language.gap[before]) + float64(1-p.share)*math.Exp(float64(x.words.logEnds[inWord]))
}

// isWord is the probability that the gap before a character is one between words, by the likelihoods of its length, what
// was sent before it, and the character.
func (x *expectation) isWord(c found, ifWord, ifCharacter float64) float64 {
	if p := x.plain; p != nil {
		gap, k := x.gap(c.beforeGap, c.length), int(c.node)
		ifWord *= gap * math.Exp(float64(p.logP(k, blank.after(c.beforeGap))))
		ifCharacter *= (1 - gap) * math.Exp(float64(p.logP(k, c.beforeGap)))
	} else {
		ifWord *= math.Exp(float64(x.words.logEnds[c.length]))
		ifCharacter *= math.Exp(float64(x.words.logGoesOn[c.length]))
	}
	return ifWord / (ifWord + ifCharacter)
}

// hearSign takes a character that was received, which counts by its confidence.
func (x *expectation) hearSign(c found, sure float64) {
	if p := x.plain; p != nil && sure > 0 {
		ratio := float64(p.character[c.before][c.node]) / math.Exp(float64(x.signs.logP(int(c.node))))
		p.evidence += math.Log(sure*ratio + 1 - sure)
	}
	x.signs.hear(tree[c.node].kind, sure)
	if x.plain != nil {
		x.plain.weigh(&x.signs)
	}
}

// hearGap takes the gap before a character, by the likelihoods of its length and how probable it is that it is one between
// words.
func (x *expectation) hearGap(c found, ifWord, ifCharacter, word float64) {
	if p := x.plain; p != nil {
		plain, usual := float64(p.language.gap[c.beforeGap]), math.Exp(float64(x.words.logEnds[c.length]))
		p.evidence += math.Log((plain*ifWord + (1-plain)*ifCharacter) / (usual*ifWord + (1-usual)*ifCharacter))
		p.weigh(&x.signs)
	}
	x.words.hear(c.length, ifWord, ifCharacter, word)
}

// weigh updates the share of plain language, and what depends on it.
func (p *plain) weigh(s *signs) {
	p.evidence = min(max(p.evidence, -mostPlain), mostPlain)
	p.share = float32(1 / (1 + math.Exp(-p.evidence)))
	for k, n := range tree {
		if n.logP > none {
			p.usual[k] = (1 - p.share) * float32(math.Exp(float64(s.logP(k))))
			p.most[k] = ln(p.usual[k] + p.share*p.greatest[k])
		}
	}
}

func (p *plain) logP(k int, before context) float32 {
	return ln(p.usual[k] + p.share*p.character[before][k])
}

func ln(x float32) float32 { return float32(math.Log(float64(x))) }
