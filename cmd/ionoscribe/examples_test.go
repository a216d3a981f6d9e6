package main

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

var quoted = regexp.MustCompile(`"[^"]*"`)

// The command lines of the README and of the help are ones that the program takes.
func TestExamplesParse(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	must(t, err)
	var texts []string
	for i, block := range strings.Split(string(readme), "```") {
		if i%2 == 1 {
			texts = append(texts, block)
		}
	}
	for _, c := range commands(newRootCommand()) {
		texts = append(texts, c.Example)
	}
	seen := 0
	for line := range strings.Lines(strings.Join(texts, "\n")) {
		for part := range strings.SplitSeq(strings.ReplaceAll(line, "go run ./cmd/ionoscribe", "ionoscribe"), "|") {
			words := strings.Fields(quoted.ReplaceAllString(part, "TEXT"))
			if len(words) == 0 || words[0] != "ionoscribe" {
				continue
			}
			seen++
			c, rest, err := newRootCommand().Find(words[1:])
			if err == nil {
				err = c.ParseFlags(rest)
			}
			if err == nil {
				err = c.ValidateArgs(c.Flags().Args())
			}
			if err != nil {
				t.Errorf("%s: %v", strings.TrimSpace(part), err)
			}
		}
	}
	if seen < 8 {
		t.Errorf("only %d command lines found", seen)
	}
}
