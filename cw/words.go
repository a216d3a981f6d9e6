package cw

import "math"

// words is how long the words of a sender are, as far as they have been heard: groups of five make a gap after the
// fifth character likely and all others unlikely. It knows no language.
type words struct {
	ended, went                     [longestWord + 1]float32 // words that ended, or went on, after so many characters
	logWordAfter, logCharacterAfter [longestWord + 1]float32
}

const (
	longestWord   = 15        // characters; all longer ones are alike
	usualEnd      = 1.0 / 6   // of characters that end a word, before anything is heard
	usualWeight   = 3         // characters that this counts for
	wordMemory    = 1 - 1./30 // what is left of a word after the next
	surestOfWords = 0.97
)

func (w *words) noWords() {
	*w = words{}
	w.update()
}

func (w *words) update() {
	for i := range w.ended {
		p := (w.ended[i] + usualWeight*usualEnd) / (w.ended[i] + w.went[i] + usualWeight)
		p = min(max(p, 1-surestOfWords), surestOfWords)
		w.logWordAfter[i] = float32(math.Log(float64(p)))
		w.logCharacterAfter[i] = float32(math.Log(1 - float64(p)))
	}
}

// heardGap takes the gap after so many characters of a word.
func (w *words) heardGap(length uint8, word bool) {
	if word {
		for i := range w.ended {
			w.ended[i] *= wordMemory
			w.went[i] *= wordMemory
		}
		w.ended[length]++
	} else {
		w.went[length]++
	}
	w.update()
}

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
	character, word := none, none
	for j, g := range t.wide {
		if g.steps != steps {
			continue
		}
		if j < t.timing.words {
			character = g.logP + t.logCharacterAfter[length]
		} else {
			word = g.logP + t.logWordAfter[length]
		}
	}
	if character == none {
		return 1
	}
	return 1 / (1 + math.Exp(float64(character-word)))
}
