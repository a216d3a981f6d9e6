package cw

import (
	"math"
	"testing"
)

// Whatever came before, the characters that may follow are probable by one in all, and none is impossible.
func TestLanguageSums(t *testing.T) {
	l := english()
	for at := range contexts {
		total := 0.0
		for k, p := range l.character[at] {
			if total += float64(p); tree[k].logP > none && p <= 0 || tree[k].logP <= none && p != 0 {
				t.Fatalf("after %d: node %d has %g", at, k, p)
			}
		}
		if math.Abs(total-1) > 1e-4 || !(l.gap[at] > 0 && l.gap[at] < 1) {
			t.Errorf("after %d: %g, gap %g", at, total, l.gap[at])
		}
	}
}

// The letters of the text are as frequent as those of English: percentages from R. E. Lewand, Cryptological
// Mathematics, Mathematical Association of America, 2000 (from memory).
func TestLetterFrequencies(t *testing.T) {
	published := []float64{8.167, 1.492, 2.782, 4.253, 12.702, 2.228, 2.015, 6.094, 6.966, 0.153, 0.772, 4.025, 2.406,
		6.749, 7.507, 1.929, 0.095, 5.987, 6.327, 9.056, 2.758, 0.978, 2.360, 0.150, 1.974, 0.074}
	var counts [classes]float64
	letters := 0.0
	sent, _ := classesOf(plainText)
	for _, c := range sent {
		if counts[c]++; c >= 1 && c <= 26 {
			letters++
		}
	}
	apart := 0.0 // total variation distance
	for i, p := range published {
		apart += math.Abs(p/100-counts[i+1]/letters) / 2
		if i != 'E'-'A' && counts[i+1] >= counts['E'-'A'+1] {
			t.Errorf("%c is more frequent than E", 'A'+i)
		}
	}
	t.Logf("%.3f apart", apart)
	if apart > 0.06 {
		t.Errorf("%.3f apart", apart)
	}
}
