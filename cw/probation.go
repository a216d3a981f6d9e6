package cw

// probation holds back the first characters until they look like text: see textEvidence.
type probation struct {
	passed            bool
	held, spare       []Char
	chars, gaps, rare int // of those held: characters, gaps between words, and rare signs
	evidence          textEvidence
}

const (
	probationChars = 7   // characters before the first judgement,
	fewestChars    = 3   // or if nothing more comes
	mostHeld       = 30  // characters, at which it is judged in any case
	leastWord      = 1.5 // characters, mean: CQ CQ CQ D has 7/4
	mostRare       = 0.3 // of the characters, signs that are common practice alone
)

func (p *probation) reset() {
	*p = probation{held: p.held[:0], spare: p.spare[:0]}
	p.evidence.reset()
}

// ready says whether it is time to judge, if so much evidence is enough.
func (p *probation) ready(enough float64) bool {
	return p.chars >= probationChars && (p.chars >= mostHeld || p.evidence.sum > enough || p.evidence.sum < fails)
}

// hold takes a character.
func (p *probation) hold(c Char) {
	p.held = append(p.held, c)
	if c.Pattern == 0 {
		p.gaps++
		return
	}
	p.chars++
	if c.Practice {
		p.rare++
	}
}

// text says whether what is held looks like text.
func (p *probation) text() bool {
	return float64(p.chars) >= leastWord*float64(p.gaps+1) && float64(p.rare) <= mostRare*float64(p.chars)
}

// respace tells the words of what is held by other lengths of gaps; base is how many base samples a sample of the audio is.
func (p *probation) respace(l gapLengths, base float64) {
	old := append(p.spare[:0], p.held...)
	p.held, p.gaps = p.held[:0], 0
	last := int64(-1)
	for _, c := range old {
		if c.Pattern == 0 {
			continue
		}
		if last >= 0 {
			if word := l.isWord(float64(c.At-last) * base); word > likelier {
				space := c
				space.Symbol, space.At, space.End, space.Confidence = Space, last, c.At, min(word, c.Confidence)
				p.held = append(p.held, space)
				p.gaps++
			}
		}
		p.held = append(p.held, c)
		last = c.End
	}
	p.spare = old
}
