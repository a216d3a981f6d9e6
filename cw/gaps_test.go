package cw

import (
	"math/rand/v2"
	"testing"
)

// A hand whose gaps between words are hardly longer than the others, taken for one that has none: what is usual is found
// again, and that words are groups of five.
func TestGapsLearntAnew(t *testing.T) {
	const character, word, spread = 126.0, 185.0, 0.18
	found := 0
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 1))
		g := gaps{usual: 0.16}
		for i := range gapsKnown {
			mean := character
			if i%usualGroup == usualGroup-1 {
				mean = word
			}
			g.hear(mean * (1 + spread*rng.NormFloat64()))
		}
		start := gapLengths{136, 280, 0.26, 0.2}
		l, better := g.better(start)
		if !better {
			l = g.refine(start, 4)
		}
		if l.word > 160 && l.word < 215 && l.character > 115 && l.character < 140 {
			found++
		}
		if _, better := g.better(gapLengths{character, word, spread, spread}); better {
			t.Errorf("seed %d: other lengths explain it better than its own", seed)
		}
		g.weigh(gapLengths{character, word, spread, spread})
		any, _ := g.explain(0)
		groups, after := g.explain(usualGroup)
		if groups < any || after[gapsKnown%usualGroup+1] < 0.5 {
			t.Errorf("seed %d: groups %.1f, any %.1f, after %.2f", seed, groups, any, after)
		}
	}
	if found < 18 {
		t.Errorf("found %d of 20", found)
	}
}
