package cw

import "math"

// gaps are the last ones between characters and words. Where a hand's are hardly different, those between words may be
// taken for others once, and the lengths that are learnt from that make it stay so. Therefore all are looked at together
// from time to time: would other lengths explain them better?
type gaps struct {
	lengths [gapsKnown]float64 // base samples; a ring
	heard   int
}

const (
	gapsKnown   = 64
	gapsLeast   = 16 // before the first look
	gapsBetween = 4  // from look to look
	gapsGain    = 4  // nats by which others must be better: of 2 to 7 the best by grade cw --hand --wpm 18 --snr=-3
	gapsStray   = 0.05
	looseGaps   = 0.12 // spread below which there is no doubt
)

// gapLengths are means in base samples and standard deviations over them.
type gapLengths struct{ character, word, characterSpread, wordSpread float64 }

func (g *gaps) reset() { g.heard = 0 }

// hear takes a gap, and says whether all are to be looked at.
func (g *gaps) hear(x float64) bool {
	g.lengths[g.heard%gapsKnown] = x
	g.heard++
	return g.heard >= gapsLeast && g.heard%gapsBetween == 0
}

// explain is the log-likelihood of all of them by lengths, with words in groups of k, or of any length if k is 0; and the
// probability of so many characters of a word by now.
func (g *gaps) explain(l gapLengths, k int) (logP float64, after [longestWord + 1]float64) {
	for i := 1; i <= usualGroup; i++ {
		after[i] = 1. / usualGroup
	}
	for i := max(0, g.heard-gapsKnown); i < g.heard; i++ {
		x := g.lengths[i%gapsKnown]
		character := likelihood(x, l.character, l.characterSpread)
		word := likelihood(min(x, l.word*(1+2*l.wordSpread)), l.word, l.wordSpread) // longer ones are pauses
		var next [longestWord + 1]float64
		sum := 0.0
		for n, p := range after {
			ends := usualEnd
			if k > 0 {
				ends = groupEnds(k, n)
			}
			next[1] += p * ends * word
			next[min(n+1, longestWord)] += p * (1 - ends) * character
			sum += p * (ends*word + (1-ends)*character)
		}
		logP += math.Log(sum)
		for n := range next {
			after[n] = next[n] / sum
		}
	}
	return logP, after
}

// likelihood is that of a length; a share strays to twice as much or half of it.
func likelihood(x, mean, spread float64) float64 {
	u := (x/mean - 1) / spread
	p := (1 - gapsStray) * math.Exp(-u*u/2) / (math.Sqrt(2*math.Pi) * spread * mean)
	if x > mean/2 && x < 2*mean {
		p += gapsStray / (1.5 * mean)
	}
	return p + 1e-9
}

// better looks for lengths that explain all much better than those of a sender.
func (g *gaps) better(now gapLengths) (best gapLengths, found bool) {
	n := min(g.heard, gapsKnown)
	mean := 0.0
	for _, x := range g.lengths[:n] {
		mean += min(x, 2*now.word) / float64(n)
	}
	either := func(l gapLengths) float64 {
		any, _ := g.explain(l, 0)
		groups, _ := g.explain(l, usualGroup)
		return max(any+logPrior(0), groups+logPrior(usualGroup))
	}
	most := either(now) + gapsGain
	for _, ratio := range [...]float64{1.4, 1.6, 1.85, 2.1, 2.4, 2.8, 3.3} {
		for _, spread := range [...]float64{0.12, 0.17, 0.24} {
			character := mean / (1 + (ratio-1)*usualEnd)
			l := gapLengths{character, character * ratio, spread, spread}
			if p := either(l); p > most {
				most, best, found = p, l, true
			}
		}
	}
	return best, found
}

// relearn looks at all gaps together, takes other lengths for those of the sender if they are much better, and finds out
// whether words are groups that fit what is taken for the characters of this word.
func (t *track) relearn(inWord int) {
	s := &t.sender
	if s.spread[characterLength] < looseGaps {
		return
	}
	l := gapLengths{s.mean[characterLength], s.mean[wordLength], s.spread[characterLength], s.spread[wordLength]}
	if b, found := t.gaps.better(l); found {
		l = b
		s.mean[characterLength], s.mean[wordLength] = l.character, l.word
		s.spread[characterLength], s.spread[wordLength] = l.characterSpread, l.wordSpread
		t.trellis.noWords()
	}
	t.trellis.weighGroups(func(k int) float64 {
		logP, after := t.gaps.explain(l, k)
		if k > 0 {
			logP += math.Log(after[min(inWord, longestWord)] + 0.01)
		}
		return logP
	})
}
