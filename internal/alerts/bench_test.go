package alerts

import (
	"strings"
	"testing"
)

// A character of a text costs so much for ten rules.
func BenchmarkCharacter(b *testing.B) {
	var rules []Rule
	for _, s := range strings.Fields("gale storm warning mayday tsunami pirates hurricane iceberg mines rescue") {
		rules = append(rules, Rule{Text: []string{s + " area *"}})
	}
	compiled, err := ready(rules)
	if err != nil {
		b.Fatal(err)
	}
	tx, text := newText(compiled), "GALE AREA 7 NORTH EAST WARNING OF ICE "
	n := 0
	for b.Loop() {
		tx.write(compiled, Event{Text: text[n%len(text) : n%len(text)+1], Confidence: 0.7}, func(hit) {})
		n++
	}
}
