package cw

import (
	"math"
	"slices"
)

// gaps are the last ones between characters and words. Neither follows from the length of a dot: learners are sent
// characters far apart, and a hand's words are hardly further apart than its characters. Gaps that have been taken for
// others once would make it stay so, as lengths are learnt from them. Therefore all are looked at together from time to
// time: would other lengths explain them better, whatever they were taken for?
type gaps struct {
	lengths [gapsKnown]float64 // base samples; a ring
	heard   int
	sorted  [gapsKnown]float64
}

const (
	gapsKnown   = 64
	gapsLeast   = 16 // before the first look, but for that in probation
	gapsFewest  = 3  // for which other lengths are thought of
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
		word := l.ifWord(x)
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

// ifWord is the likelihood of a gap between words, which may be a pause.
func (l gapLengths) ifWord(x float64) float64 {
	const pause = pauseSeconds * baseRate
	return (1-pauseShare)*likelihood(x, l.word, l.wordSpread) + pauseShare*math.Exp(-x/pause)/pause
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

// better looks for lengths that explain all much better than those of a sender: gaps between characters as long as some
// that were heard.
func (g *gaps) better(now gapLengths) (best gapLengths, found bool) {
	n := min(g.heard, gapsKnown)
	if n < gapsFewest {
		return best, false
	}
	sorted := g.sorted[:copy(g.sorted[:], g.lengths[:n])]
	slices.Sort(sorted)
	either := func(l gapLengths) float64 {
		any, _ := g.explain(l, 0)
		groups, _ := g.explain(l, usualGroup)
		return max(any+logPrior(0), groups+logPrior(usualGroup))
	}
	most := either(now) + gapsGain
	mean := 0.0
	for _, x := range sorted {
		mean += min(x, 2*sorted[n/2]) / float64(n)
	}
	for _, quantile := range [...]float64{0, 0.2, 0.4, 0.6, 0.8} {
		character := sorted[int(quantile*float64(n-1)+0.5)]
		for _, ratio := range [...]float64{1.4, 1.6, 1.85, 2.1, 2.4, 2.8, 3.3} {
			if quantile == 0 { // one in six is between words
				character = mean / (1 + (ratio-1)*usualEnd)
			}
			for _, spread := range [...]float64{0.12, 0.17, 0.24} {
				l := gapLengths{character, character * ratio, spread, spread}
				if p := either(l); p > most {
					most, best, found = p, l, true
				}
			}
		}
	}
	return best, found
}

// relearn looks at all gaps together, takes other lengths for those of the sender if they are much better, and finds out
// whether words are groups that fit what is taken for the characters of this word.
func (t *track) relearn(inWord int) {
	if !t.respace() && t.sender.spread[characterLength] < looseGaps {
		return
	}
	l := t.sender.gaps()
	t.trellis.weighGroups(func(k int) float64 {
		logP, after := t.gaps.explain(l, k)
		if k > 0 {
			logP += math.Log(after[min(inWord, longestWord)] + 0.01)
		}
		return logP
	})
}

// respace takes other lengths for those of the sender if they explain all gaps much better. What is printed stays; what is
// held back is told into words by them.
func (t *track) respace() bool {
	l, found := t.gaps.better(t.sender.gaps())
	if !found {
		return false
	}
	s := &t.sender
	s.mean[characterLength], s.mean[wordLength] = l.character, l.word
	s.spread[characterLength], s.spread[wordLength] = l.characterSpread, l.wordSpread
	t.trellis.noWords()
	t.trellis.set(s, t.trellis.step)
	t.respaced = t.trellis.n
	t.probation.respace(l, baseRate/t.band.decoder.config.SampleRate)
	return true
}

// gaps are those that a sender is thought to make.
func (s *sender) gaps() gapLengths {
	return gapLengths{s.mean[characterLength], s.mean[wordLength], s.spread[characterLength], s.spread[wordLength]}
}

// isWord is the probability that a gap is one between words.
func (l gapLengths) isWord(x float64) float64 {
	word := usualEnd * l.ifWord(x)
	character := (1 - usualEnd) * likelihood(x, l.character, l.characterSpread)
	return word / (word + character)
}
