package cw

import "math"

// words is how long the words of a sender are, as far as they have been heard: groups of five make a gap after the
// fifth character likely and all others unlikely. It knows no language. Each gap speaks for or against groups of each
// length and words of any length; what a gap is expected to be is the mean of what all of these expect.
type words struct {
	ended, went                     [longestWord + 1]float64  // words that ended, or went on, after so many characters
	speaks                          [longestGroup + 1]float64 // for groups of so many, in nats; 0: for words of any length
	logWordAfter, logCharacterAfter [longestWord + 1]float32

	signs    [kinds]float64 // how many of each kind were heard
	logShare [kinds]float32 // of each kind over what is usual
}

const (
	longestWord = 15        // characters; all longer ones are alike
	usualEnd    = 1.0 / 6   // of characters that end a word, before anything is heard
	usualWeight = 3         // characters that this counts for
	wordMemory  = 1 - 1./30 // what is left of a word after the next

	usualSigns = 25.0       // signs that the usual shares count for
	signMemory = 1 - 1./200 // what is left of a sign after the next

	shortestGroup, longestGroup = 3, 10
	usualGroup                  = 5    // common practice
	usualGroups                 = 0.25 // probability of such groups, before anything is heard (own estimate)
	unusualGroups               = 0.02 // and of those of each other length
	groupSlip                   = 0.02 // of gaps in groups that are not as expected: characters run together or taken apart
	mostSpeaks                  = 7.0  // nats between the likeliest and another: what five words or so can undo
)

func (w *words) noWords() {
	*w = words{}
	for k := shortestGroup; k <= longestGroup; k++ {
		w.speaks[k] = logPrior(k)
	}
	w.update()
}

// heardSign takes a sign: whoever has sent letters alone for long will hardly send anything else. The surer it is the
// more it counts.
func (w *words) heardSign(k kind, sure float64) {
	sum := usualSigns
	for i := range w.signs {
		w.signs[i] *= signMemory
		sum += w.signs[i]
	}
	w.signs[k] += sure
	sum += sure
	for i := range w.signs {
		w.logShare[i] = float32(math.Log((usualSigns + w.signs[i]/usualShares[i]) / sum))
	}
}

// expects is the probability that a word ends after so many characters if words are groups of k, or of any length if k
// is zero.
func (w *words) expects(k, after int) float64 {
	if k == 0 {
		return (w.ended[after] + usualWeight*usualEnd) / (w.ended[after] + w.went[after] + usualWeight)
	}
	return groupEnds(k, after)
}

// groupEnds is the probability that a group of k ends after so many characters.
func groupEnds(k, after int) float64 {
	switch {
	case after < k:
		return groupSlip
	case after == k:
		return 1 - groupSlip
	}
	if after%k == 0 { // the gap after the group has been missed
		return 0.9
	}
	return 0.15
}

// weighGroups takes the log-likelihoods of groups of each length, and of words of any length for 0.
func (w *words) weighGroups(logP func(k int) float64) {
	most := math.Inf(-1)
	for k := range w.speaks {
		if k > 0 && k < shortestGroup {
			continue
		}
		w.speaks[k] = logPrior(k) + logP(k)
		most = max(most, w.speaks[k])
	}
	for k := range w.speaks {
		w.speaks[k] = max(w.speaks[k]-most, -mostSpeaks)
	}
	w.update()
}

// logPrior is how likely groups of k are, before anything is heard, over words of any length.
func logPrior(k int) float64 {
	switch k {
	case 0:
		return 0
	case usualGroup:
		return math.Log(usualGroups)
	}
	return math.Log(unusualGroups)
}

func (w *words) update() {
	var share [longestGroup + 1]float64
	sum := 0.0
	for k, s := range w.speaks {
		if k == 0 || k >= shortestGroup {
			share[k] = math.Exp(s)
			sum += share[k]
		}
	}
	for i := range w.ended {
		p := 0.0
		for k, s := range share {
			if s > 0 {
				p += s / sum * w.expects(k, i)
			}
		}
		w.logWordAfter[i] = float32(math.Log(p))
		w.logCharacterAfter[i] = float32(math.Log(1 - p))
	}
}

// heardGap takes the gap after so many characters of a word: its likelihood by its length alone if it is one between
// words and if it is one between characters, and how probable it is that it is one between words: what is printed is no
// evidence, or words that were not told once would never be told again.
func (w *words) heardGap(after uint8, ifWord, ifCharacter, word float64) {
	most := math.Inf(-1)
	for k := range w.speaks {
		if k > 0 && k < shortestGroup {
			continue
		}
		p := w.expects(k, int(after))
		w.speaks[k] += math.Log(p*ifWord + (1-p)*ifCharacter)
		most = max(most, w.speaks[k])
	}
	for k := range w.speaks {
		w.speaks[k] = max(w.speaks[k]-most, -mostSpeaks)
	}
	for i := range w.ended {
		w.ended[i] *= 1 - word*(1-wordMemory)
		w.went[i] *= 1 - word*(1-wordMemory)
	}
	if after < longestWord { // of longer ones a gap has been missed, which tells nothing of this one
		w.ended[after] += word
		w.went[after] += 1 - word
	}
	w.update()
}

// logP is the prior of the character of a node, none if it is none.
func (w *words) logP(k int) float32 { return tree[k].logP + w.logShare[tree[k].kind] }

// logAfter is the prior of gap number j of those between characters and words, after the character that ends at a step.
func (t *trellis) logAfter(end int64, j int) float32 {
	if i := t.inWord[end&(past-1)]; j >= t.timing.words {
		return t.logWordAfter[i]
	} else {
		return t.logCharacterAfter[i]
	}
}

// word is the probability that a gap of so many steps after so many characters is one between words, as one between
// characters may be as long.
func (t *trellis) word(steps int64, length uint8) float64 {
	w, c := t.likely(steps)
	if t.plain != nil {
		return t.plain.word(t, w, c, length)
	}
	w *= math.Exp(float64(t.logWordAfter[length]))
	c *= math.Exp(float64(t.logCharacterAfter[length]))
	return w / (w + c)
}

// likely is the likelihoods of a gap of so many steps as one between words and as one between characters.
func (t *trellis) likely(steps int64) (ifWord, ifCharacter float64) {
	for j, g := range t.wide {
		if g.steps != steps {
			continue
		}
		if j < t.timing.words {
			ifCharacter = math.Exp(float64(g.logP))
		} else {
			ifWord = math.Exp(float64(g.logP))
		}
	}
	if ifWord == 0 && ifCharacter == 0 { // a pause
		ifWord = 1
	}
	return ifWord, ifCharacter
}
