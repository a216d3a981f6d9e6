package grade

import (
	"math"
	"slices"

	"ionoscribe/cw"
	"ionoscribe/samples"
)

// gapObserver tells gaps between words from those between characters as well as can be done by the length of each alone:
// it knows how its sender's lengths are distributed, and how many of a text's gaps are between words (Bayes' rule).
type gapObserver struct{ character, word []float64 } // lengths in seconds, sorted

// observedGaps are as many of each kind as tell the distributions, of which the middle hundredth is some forty.
const observedGaps = 4000

// newGapObserver watches a sender for long.
func newGapObserver(c samples.CWConfig) (o gapObserver, err error) {
	text := make([]byte, 0, 3*observedGaps)
	for range observedGaps {
		text = append(text, "EE "...)
	}
	c.Text = string(text[:len(text)-1])
	signal, err := samples.NewCW(c)
	if err != nil {
		return o, err
	}
	for length, word := range sentGaps(signal) {
		if word {
			o.word = append(o.word, length)
		} else {
			o.character = append(o.character, length)
		}
	}
	slices.Sort(o.character)
	slices.Sort(o.word)
	return o, nil
}

// sentGaps are the gaps that were sent between characters, in seconds, and whether each is between words.
func sentGaps(s *samples.CW) func(yield func(seconds float64, word bool) bool) {
	return func(yield func(float64, bool) bool) {
		end, word := math.NaN(), false
		for symbol := range s.Sent() {
			if symbol.Symbol == cw.Space {
				word = true
				continue
			}
			if !math.IsNaN(end) && !yield(symbol.At-end, word) {
				return
			}
			end, word = symbol.End, false
		}
	}
}

// wrong is how many gaps of a signal the observer takes for the other kind.
func (o gapObserver) wrong(s *samples.CW) (n int) {
	var all, words float64
	for _, word := range sentGaps(s) {
		if all++; word {
			words++
		}
	}
	for length, word := range sentGaps(s) {
		if taken := words*density(o.word, length) > (all-words)*density(o.character, length); taken != word {
			n++
		}
	}
	return n
}

// density is that of sorted lengths near one, within a twentieth of it.
func density(sorted []float64, x float64) float64 {
	const near = 0.05
	from, _ := slices.BinarySearch(sorted, x*(1-near))
	to, _ := slices.BinarySearch(sorted, x*(1+near))
	return (float64(to-from) + 0.01) / float64(len(sorted))
}
