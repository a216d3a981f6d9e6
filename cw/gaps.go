package cw

import (
	"math"
	"slices"
)

// gaps are the last ones between characters and words. Neither follows from the length of a dot: learners are sent
// characters far apart, and a hand's words are hardly further apart than its characters. So they are taken as drawn from
// two distributions, one of them for each kind, whose means and spreads are what makes all of them, and what is known of
// senders, most probable: the expectation-maximization algorithm (A. P. Dempster, N. M. Laird and D. B. Rubin, J. R.
// Statist. Soc. B 39, 1977). Which of them each gap is from is left open, and whether words are groups of five.
type gaps struct {
	lengths         [gapsKnown]float64 // base samples; a ring
	pauses          [gapsKnown]float64 // likelihoods of lengths as pauses
	heard           int
	usual           float64 // spread of gaps between characters, by those within them
	sorted          [gapsKnown]float64
	character, word [gapsKnown]float64 // likelihoods by the lengths that were weighed last, the oldest one first
	share           [gapsKnown]float64 // probabilities that each is between words
	before          [gapsKnown][longestWord + 1]float64
}

const (
	gapsKnown   = 64
	gapsLeast   = 5    // before the first look,
	gapsEnough  = 16   // before the first look for others, but for that in probation
	gapsFewest  = 3    // for which other lengths are thought of
	gapsBetween = 2    // from look to look,
	gapsSeldom  = 8    // and to one for others
	gapsGain    = 4    // nats by which others must be better
	gapsStray   = 0.05 // share of lengths that stray, to twice as much or half of it: samples of hands have so many
	looseGaps   = 0.12 // spread below which there is no doubt which gaps are between words
	impossible  = 1e-9 // density of what cannot be, lest a single length rule anything out
	farOff      = 10.0 // standard deviations beyond which a length does not occur but as one that strays

	// What is known of senders (own estimate): words are 7/3 as far apart as characters, within a quarter or so; gaps stray
	// by a seventh more if they are between characters than if within them, and between words once more. That is as good
	// as so many gaps.
	ratioSpread  = 0.25
	looser       = 8. / 7
	spreadCounts = 6.0

	refineRounds = 2 // from what has been found before
	searchRounds = 5 // from elsewhere
)

// Where other lengths are looked for: the gap between characters is at one of these quantiles of those that were heard, and
// that between words so many times as long, less and a little more than 7/3.
var (
	searchedQuantiles = [...]float64{0.15, 0.5, 0.75}
	searchedRatios    = [...]float64{1.6, 2.4}
)

// gapLengths are means in base samples and standard deviations over them.
type gapLengths struct{ character, word, characterSpread, wordSpread float64 }

func (g *gaps) reset() { g.heard = 0 }

// hear takes a gap, and says whether all are to be looked at.
func (g *gaps) hear(x float64) bool {
	const pause = pauseSeconds * baseRate
	i := g.heard % gapsKnown
	g.lengths[i], g.pauses[i] = x, math.Exp(-x/pause)/pause
	g.heard++
	return g.heard >= gapsLeast && g.heard%gapsBetween == 0
}

// known is how many there are.
func (g *gaps) known() int { return min(g.heard, gapsKnown) }

// at is the place of one in the ring, 0 the oldest.
func (g *gaps) at(i int) int { return (g.heard - g.known() + i) % gapsKnown }

// weigh finds the likelihoods of all by lengths.
func (g *gaps) weigh(l gapLengths) {
	for i := range g.known() {
		j := g.at(i)
		x := g.lengths[j]
		g.character[i] = likelihood(x, l.character, l.characterSpread)
		g.word[i] = (1-pauseShare)*likelihood(x, l.word, l.wordSpread) + pauseShare*g.pauses[j]
	}
}

// smallProduct is where a product of likelihoods is taken down, long before it is 0.
const smallProduct = 1e-200

// explain is the log-likelihood of all of them as they were weighed, with words in groups of k, or of any length if k is
// 0; and the probability of so many characters of a word by now.
func (g *gaps) explain(k int) (logP float64, after [longestWord + 1]float64) {
	product := 1.0
	take := func(p float64) {
		if product *= p; product < smallProduct {
			logP += math.Log(product)
			product = 1
		}
	}
	for i := 1; i <= usualGroup; i++ {
		after[i] = 1. / usualGroup
	}
	for i := range g.known() {
		character, word := g.character[i], g.word[i]
		g.before[i] = after
		var next [longestWord + 1]float64
		if k == 0 {
			take(usualEnd*word + (1-usualEnd)*character)
			continue
		}
		for n := 1; n <= longestWord; n++ {
			ends := groupEnd[k][n]
			next[1] += after[n] * ends * word
			next[min(n+1, longestWord)] += after[n] * (1 - ends) * character
		}
		sum := 0.0
		for _, p := range next {
			sum += p
		}
		take(sum)
		for n := range next {
			after[n] = next[n] / sum
		}
	}
	return logP + math.Log(product), after
}

// tell fills the share of each gap that is between words, by how well groups explain all, which were explained last.
func (g *gaps) tell(groups float64) {
	var later [longestWord + 2]float64 // what follows, by the characters of the word so far
	for n := range later {
		later[n] = 1
	}
	ends := &groupEnd[usualGroup]
	for i := g.known() - 1; i >= 0; i-- {
		character, word := g.character[i], g.word[i]
		var now [longestWord + 2]float64
		asWord, all, most := 0.0, 0.0, 0.0
		for n := 1; n <= longestWord; n++ {
			w, c := ends[n]*word*later[1], (1-ends[n])*character*later[min(n+1, longestWord)]
			now[n] = w + c
			asWord += g.before[i][n] * w
			all += g.before[i][n] * (w + c)
			most = max(most, w+c)
		}
		g.share[i] = (1-groups)*wordShare(character, word) + groups*asWord/all
		for n := range now {
			later[n] = now[n] / most
		}
	}
}

// groupEnd is groupEnds of all groups.
var groupEnd = func() (ends [longestGroup + 1][longestWord + 1]float64) {
	for k := 1; k <= longestGroup; k++ {
		for n := range ends[k] {
			ends[k][n] = groupEnds(k, n)
		}
	}
	return ends
}()

// ifWord is the likelihood of a gap between words, which may be a pause.
func (l gapLengths) ifWord(x float64) float64 {
	const pause = pauseSeconds * baseRate
	return (1-pauseShare)*likelihood(x, l.word, l.wordSpread) + pauseShare*math.Exp(-x/pause)/pause
}

// likelihood is that of a length; a share strays to twice as much or half of it.
func likelihood(x, mean, spread float64) float64 {
	return ordinary(x, mean, spread) + stray(x, mean)
}

// ordinary is the likelihood of a length that does not stray.
func ordinary(x, mean, spread float64) float64 {
	u := (x/mean - 1) / spread
	if u*u > farOff*farOff {
		return 0
	}
	return (1 - gapsStray) * math.Exp(-u*u/2) / (math.Sqrt(2*math.Pi) * spread * mean)
}

func stray(x, mean float64) float64 {
	if x > mean/2 && x < 2*mean {
		return gapsStray/((2-0.5)*mean) + impossible
	}
	return impossible
}

// prior is how likely lengths are before any gap is heard, as a logarithm.
func (l gapLengths) prior(usual float64) float64 {
	u := math.Log(l.word/l.character*CharacterGapDots/WordGapDots) / ratioSpread
	// Of a spread s the chi-squared of so many counts of the usual one; see update.
	spread := func(s, usual float64) float64 {
		q := usual / s
		return spreadCounts / 2 * (1 - q*q + 2*math.Log(q))
	}
	return -u*u/2 + spread(l.characterSpread, usual) + spread(l.wordSpread, looser*l.characterSpread)
}

// refine makes lengths more probable by some rounds.
func (g *gaps) refine(l gapLengths, rounds int) gapLengths {
	for range rounds {
		_, groups := g.probability(l)
		g.tell(groups)
		l = g.update(l)
	}
	return l
}

// roughly makes lengths more probable by some rounds, words being of any length.
func (g *gaps) roughly(l gapLengths, rounds int) gapLengths {
	for range rounds {
		g.weigh(l)
		for i := range g.known() {
			g.share[i] = wordShare(g.character[i], g.word[i])
		}
		l = g.update(l)
	}
	return l
}

// wordShare is the probability of a gap between words by its likelihoods.
func wordShare(character, word float64) float64 {
	return usualEnd * word / (usualEnd*word + (1-usualEnd)*character)
}

// probability of lengths and all gaps, as a logarithm, and that of groups then.
func (g *gaps) probability(l gapLengths) (logP, groups float64) {
	g.weigh(l)
	anyWords, _ := g.explain(0)
	inGroups, _ := g.explain(usualGroup)
	inGroups += logPrior(usualGroup) - logPrior(0)
	groups = 1 / (1 + math.Exp(anyWords-inGroups))
	return l.prior(g.usual) + max(anyWords, inGroups), groups
}

// update are the most probable lengths if each gap is from either kind with the shares that were told.
func (g *gaps) update(l gapLengths) gapLengths {
	var nC, sC, nW, sW float64
	var weights [gapsKnown][2]float64
	for i := range g.known() {
		x := g.lengths[g.at(i)]
		c := (1 - g.share[i]) * ordinary(x, l.character, l.characterSpread) / g.character[i]
		w := g.share[i] * (1 - pauseShare) * ordinary(x, l.word, l.wordSpread) / g.word[i]
		weights[i] = [2]float64{c, w}
		nC, sC, nW, sW = nC+c, sC+c*x, nW+w, sW+w*x
	}
	// What is known of the ratio is worth as many gaps as have its variance.
	worth := func(spread float64) float64 { return spread * spread / (ratioSpread * ratioSpread) }
	kC, kW := worth(l.characterSpread), worth(l.wordSpread)
	const ratio = float64(WordGapDots) / CharacterGapDots
	next := gapLengths{character: (sC + kC*l.word/ratio) / (nC + kC), word: (sW + kW*l.character*ratio) / (nW + kW)}
	var vC, vW float64
	for i, w := range weights[:g.known()] {
		x := g.lengths[g.at(i)]
		c, d := x/next.character-1, x/next.word-1
		vC, vW = vC+w[0]*c*c, vW+w[1]*d*d
	}
	next.characterSpread = math.Sqrt((spreadCounts*g.usual*g.usual + vC) / (spreadCounts + nC))
	usual := looser * next.characterSpread
	next.wordSpread = math.Sqrt((spreadCounts*usual*usual + vW) / (spreadCounts + nW))
	return next
}

// better looks for lengths that explain all much better than those of a sender, which are near others: those for which the
// gaps between characters are as long as some that were heard.
func (g *gaps) better(now gapLengths) (best gapLengths, found bool) {
	n := g.known()
	if n < gapsFewest {
		return best, false
	}
	sorted := g.sorted[:copy(g.sorted[:], g.lengths[:n])]
	slices.Sort(sorted)
	most, _ := g.probability(g.refine(now, refineRounds))
	most += gapsGain
	for _, quantile := range searchedQuantiles {
		for _, ratio := range searchedRatios {
			character := sorted[int(quantile*float64(n-1)+0.5)]
			l := g.roughly(gapLengths{character, character * ratio, g.usual, looser * g.usual}, searchRounds)
			if p, _ := g.probability(l); p > most {
				most, best, found = p, l, true
			}
		}
	}
	return best, found
}

// gaps are those that a sender is thought to make.
func (s *sender) gaps() gapLengths {
	return gapLengths{s.mean[characterLength], s.mean[wordLength], s.spread[characterLength], s.spread[wordLength]}
}

func (s *sender) setGaps(l gapLengths) {
	s.mean[characterLength], s.mean[wordLength] = l.character, l.word
	s.spread[characterLength], s.spread[wordLength] = s.within(characterLength, l.characterSpread), s.within(wordLength, l.wordSpread)
}

// isWord is the probability that a gap is one between words.
func (l gapLengths) isWord(x float64) float64 {
	return wordShare(likelihood(x, l.character, l.characterSpread), l.ifWord(x))
}
