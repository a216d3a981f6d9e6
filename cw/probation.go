package cw

import "slices"

// probation holds back the first characters until they look like text: see textEvidence.
type probation struct {
	passed            bool
	held              []Char
	chars, gaps, rare int     // of those held: characters, gaps between words, and rare signs
	sure              float64 // sum of their confidences
	evidence          textEvidence
}

const (
	probationChars = 7
	fewestChars    = 3    // if nothing more comes
	beyondLimits   = 1.06 // speeds that are a little faster or slower than the limits may be measured wrongly
	leastWord      = 1.5  // characters, mean: CQ CQ CQ D has 7/4
	mostRare       = 0.3  // of the characters, signs that are common practice alone
)

func (p *probation) reset() {
	*p = probation{held: p.held[:0]}
	p.evidence.reset()
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
	p.sure += c.Confidence
}

// text says whether what is held looks like text.
func (p *probation) text() bool {
	return float64(p.chars) >= leastWord*float64(p.gaps+1) && float64(p.rare) <= mostRare*float64(p.chars)
}

// spacing is the usual gap between the characters that are held, in samples of the audio, if nearly all of them were
// taken for words; otherwise 0.
func (p *probation) spacing() float64 {
	if float64(p.gaps) < mostSingle*float64(p.chars) {
		return 0
	}
	var gaps [4 * probationChars]float64
	n, last := 0, int64(-1)
	for _, c := range p.held {
		if c.Pattern == 0 {
			continue
		}
		if last >= 0 && n < len(gaps) {
			gaps[n] = float64(c.At - last)
			n++
		}
		last = c.End
	}
	if n == 0 {
		return 0
	}
	slices.Sort(gaps[:n])
	return gaps[n*2/5] // five of six are between characters
}

const (
	mostSingle    = 0.6
	wideSpacing   = 1.3  // over the gap between characters that was reckoned with
	widestSpacing = 40.0 // dots
)
