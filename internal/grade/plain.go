package grade

import (
	_ "embed"
	"math/rand/v2"
	"strings"
)

// plainSentences are English, a sentence a line, all invented. So that what is measured is not what was learnt, they are
// of other things than the text from which the Morse decoder knows plain language (cw/plain.txt) and share no sentence
// with it: that one speaks of weather and the sea, these of everything else. Neither may be made of the other.
//
//go:embed plain.txt
var plainSentences string

// plainMessage is sentences in capital letters.
func plainMessage(rng *rand.Rand, n int) string {
	message := sentences(rng, n)
	if strings.HasSuffix(message, " ") { // which could not be heard
		message = message[:n-1] + "E"
	}
	return strings.ToUpper(message)
}

// sentences is n characters of sentences in random order, the last one cut off.
func sentences(rng *rand.Rand, n int) string {
	lines := strings.Split(strings.TrimSpace(plainSentences), "\n")
	var b strings.Builder
	for b.Len() < n {
		for _, i := range rng.Perm(len(lines)) {
			b.WriteString(lines[i])
			b.WriteByte(' ')
		}
	}
	return b.String()[:n]
}
