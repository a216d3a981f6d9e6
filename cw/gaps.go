package cw

import (
	"math"
	"slices"
)

// gaps estimates the lengths of gaps between characters and between words from the last ones. Neither follows from the length of
// a dot: for learners characters are sent far apart, and a hand's words are hardly further apart than its characters. So the
// gaps are taken as drawn from two distributions, one of each kind. Their means and spreads are those that make all gaps, and
// what is known of senders, most probable, by the expectation-maximization algorithm (A. P. Dempster, N. M. Laird and D. B.
// Rubin, J. R. Statist. Soc. B 39, 1977). Of which kind each gap is, and whether words are groups of five, stays open.
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
	// How often lengths are estimated (own choice).
	gapsKnown   = 64 // gaps that are kept: some ten words
	gapsLeast   = 5  // gaps before the first estimate,
	gapsBetween = 2  // and between estimates
	gapsEnough  = 16 // gaps before the first search for quite other lengths, except by probation,
	gapsSeldom  = 8  // and between searches
	gapsFewest  = 3  // gaps for a search at all
	gapsGain    = 4  // nats by which other lengths must be more probable

	looseGaps  = 0.12 // spread below which there is no doubt which gaps are between words (own choice)
	gapsStray  = 0.05 // share of lengths that stray, from half to twice the mean: one of a hand's in twenty
	impossible = 1e-9 // density of any length, so that a single one rules nothing out
	farOff     = 10.0 // standard deviations beyond which only strays occur

	// What is known of senders (own estimate).
	ratioSpread  = 0.25   // standard deviation of the ratio of the gaps, over the nominal 7/3
	looser       = 8. / 7 // spread between characters over that within them, and between words over that between characters
	spreadCounts = 6.0    // gaps that the spreads expected by looser count for

	// Rounds of the algorithm, from lengths that were found before, and in a search. Each estimate goes on from the last.
	refineRounds = 2
	searchRounds = 5
)

// A search begins with a gap between characters at each of these quantiles of all gaps, and one between words that is so many
// times as long: less than the nominal 7/3, and a little more (own choice).
var (
	searchedQuantiles = [...]float64{0.15, 0.5, 0.75}
	searchedRatios    = [...]float64{1.6, 2.4}
)

// gapLengths are means in base samples and standard deviations over them.
type gapLengths struct{ character, word, characterSpread, wordSpread float64 }

func (g *gaps) reset() { g.heard = 0 }

// hear takes a gap, and says whether an estimate is due.
func (g *gaps) hear(x float64) bool {
	const pause = pauseSeconds * baseRate
	i := g.heard % gapsKnown
	g.lengths[i], g.pauses[i] = x, math.Exp(-x/pause)/pause
	g.heard++
	return g.heard >= gapsLeast && g.heard%gapsBetween == 0
}

// known is how many there are.
func (g *gaps) known() int { return min(g.heard, gapsKnown) }

// at is the index in the ring of a gap, 0 being the oldest.
func (g *gaps) at(i int) int { return (g.heard - g.known() + i) % gapsKnown }

// weigh computes the likelihoods of all gaps by lengths.
func (g *gaps) weigh(l gapLengths) {
	for i := range g.known() {
		j := g.at(i)
		x := g.lengths[j]
		g.character[i] = likelihood(x, l.character, l.characterSpread)
		g.word[i] = (1-pauseShare)*likelihood(x, l.word, l.wordSpread) + pauseShare*g.pauses[j]
	}
}

// smallProduct is the product of likelihoods whose logarithm is taken, long before it underflows.
const smallProduct = 1e-200

// explain is the log-likelihood of all gaps as they were weighed, with words in groups of k, or of any length if k is 0; and the
// probabilities of how many characters the present word has.
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

// tell computes share, given the probability that words are groups, which were explained last.
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

// groupEnd is a table of groupEnds.
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

// likelihood is that of a length, which may stray.
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
	// A spread is distributed as that of spreadCounts lengths (chi-squared); see update.
	spread := func(s, usual float64) float64 {
		q := usual / s
		return spreadCounts / 2 * (1 - q*q + 2*math.Log(q))
	}
	return -u*u/2 + spread(l.characterSpread, usual) + spread(l.wordSpread, looser*l.characterSpread)
}

// refine improves lengths by some rounds.
func (g *gaps) refine(l gapLengths, rounds int) gapLengths {
	for range rounds {
		_, groups := g.probability(l)
		g.tell(groups)
		l = g.update(l)
	}
	return l
}

// roughly improves lengths by some rounds, with words of any length.
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

// probability is the logarithm of the probability of lengths given all gaps, and the probability of groups then.
func (g *gaps) probability(l gapLengths) (logP, groups float64) {
	g.weigh(l)
	anyWords, _ := g.explain(0)
	inGroups, _ := g.explain(usualGroup)
	inGroups += logPrior(usualGroup) - logPrior(0)
	groups = 1 / (1 + math.Exp(anyWords-inGroups))
	return l.prior(g.usual) + max(anyWords, inGroups), groups
}

// update returns the most probable lengths, given the share of each gap.
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
	// What is known of the ratio counts for as many gaps as have its variance.
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

// better searches for lengths that explain all gaps much better than the best ones near those of a sender.
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

// gaps are the estimated lengths of the sender's gaps.
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
