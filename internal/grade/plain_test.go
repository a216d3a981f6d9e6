package grade

import (
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"ionoscribe/cw"
)

// What is sent as plain language is not what the decoder has learnt it from: they share no more than a turn of speech.
func TestPlainMessage(t *testing.T) {
	learnt, err := os.ReadFile("../../cw/plain.txt")
	if err != nil {
		t.Fatal(err)
	}
	known := strings.Join(strings.Fields(string(learnt)), " ")
	sent := strings.ToUpper(plainSentences)
	const most = 20
	for i := range len(sent) - most {
		if part := strings.ReplaceAll(sent[i:i+most], "\n", " "); strings.Contains(known, part) {
			t.Errorf("%q is known", part)
		}
	}
	for _, n := range []int{1, 96, 98, 300, 5000} {
		message := plainMessage(rand.New(rand.NewPCG(1, uint64(n))), n)
		if symbols, err := cw.Encode(message); err != nil || len(message) != n || cw.Text(symbols) != message {
			t.Errorf("%d characters: %v, %d: %q", n, err, len(message), message)
		}
	}
}
