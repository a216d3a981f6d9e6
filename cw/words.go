package cw

import "math"

// words predicts where the words of a sender end, by their lengths alone: groups of five make a gap between words likely
// after the fifth character and unlikely elsewhere. Each gap is evidence for or against groups of each length and words of
// any length; the prediction is the mean of theirs.
type words struct {
	ended, wentOn      [longestWord + 1]float64  // words that ended, or went on, after so many characters
	evidence           [longestGroup + 1]float64 // for groups of so many, in nats; 0: for words of any length
	logEnds, logGoesOn [longestWord + 1]float32  // logarithms of the probability that a word ends, or goes on
}

const (
	longestWord = 15        // characters; all longer ones are alike
	usualEnd    = 1.0 / 6   // of characters that end a word, before anything is heard: words of five (own estimate)
	usualWeight = 3         // characters that this counts for
	wordMemory  = 1 - 1./30 // weight of a word after the next one

	shortestGroup, longestGroup = 3, 10
	usualGroup                  = 5    // common practice
	usualGroups                 = 0.25 // probability of such groups, before anything is heard (own estimate)
	unusualGroups               = 0.02 // and of those of each other length
	groupSlip                   = 0.02 // of gaps in groups that are not as expected: characters run together or taken apart
	missedEnd                   = 0.9  // that a group ends where another one should, as the gap after the first was missed,
	missedOther                 = 0.15 // and elsewhere in a word that is too long for a group (own estimates)
	mostEvidence                = 7.0  // nats between the likeliest and another, at most: what five words or so can undo
)

// groupEnds is the probability that a group of k ends after so many characters.
func groupEnds(k, after int) float64 {
	switch {
	case after < k:
		return groupSlip
	case after == k:
		return 1 - groupSlip
	case after%k == 0:
		return missedEnd
	}
	return missedOther
}

// logPrior is the log-likelihood ratio of groups of k against words of any length, before anything is heard.
func logPrior(k int) float64 {
	switch k {
	case 0:
		return 0
	case usualGroup:
		return math.Log(usualGroups)
	}
	return math.Log(unusualGroups)
}

// isGroup says whether words may be groups of k; 0 stands for words of any length.
func isGroup(k int) bool { return k == 0 || k >= shortestGroup }

func (w *words) reset() {
	*w = words{}
	for k := shortestGroup; k <= longestGroup; k++ {
		w.evidence[k] = logPrior(k)
	}
	w.update()
}

// expects is the probability that a word ends after so many characters if words are groups of k, or of any length if k
// is zero.
func (w *words) expects(k, after int) float64 {
	if k == 0 {
		return (w.ended[after] + usualWeight*usualEnd) / (w.ended[after] + w.wentOn[after] + usualWeight)
	}
	return groupEnds(k, after)
}

// weigh takes the log-likelihoods of groups of each length, and of words of any length for 0.
func (w *words) weigh(logP func(k int) float64) {
	for k := range w.evidence {
		if isGroup(k) {
			w.evidence[k] = logPrior(k) + logP(k)
		}
	}
	w.bound()
	w.update()
}

// bound sets the evidence of the likeliest to 0, and limits that of the others.
func (w *words) bound() {
	most := math.Inf(-1)
	for k, e := range w.evidence {
		if isGroup(k) {
			most = max(most, e)
		}
	}
	for k := range w.evidence {
		w.evidence[k] = max(w.evidence[k]-most, -mostEvidence)
	}
}

func (w *words) update() {
	var share [longestGroup + 1]float64
	sum := 0.0
	for k, e := range w.evidence {
		if isGroup(k) {
			share[k] = math.Exp(e)
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
		w.logEnds[i], w.logGoesOn[i] = float32(math.Log(p)), float32(math.Log(1-p))
	}
}

// hear takes the gap after so many characters of a word: the likelihoods of its length as one between words and as one
// between characters, and the probability word that it is one between words. What was printed is no evidence: otherwise
// words that were missed once would be missed ever after.
func (w *words) hear(after uint8, ifWord, ifCharacter, word float64) {
	for k := range w.evidence {
		if isGroup(k) {
			p := w.expects(k, int(after))
			w.evidence[k] += math.Log(p*ifWord + (1-p)*ifCharacter)
		}
	}
	w.bound()
	for i := range w.ended {
		w.ended[i] *= 1 - word*(1-wordMemory)
		w.wentOn[i] *= 1 - word*(1-wordMemory)
	}
	if after < longestWord { // in longer words a gap was missed, so that this one tells nothing
		w.ended[after] += word
		w.wentOn[after] += 1 - word
	}
	w.update()
}
