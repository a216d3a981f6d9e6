package main

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"ionoscribe/internal/mode"
	"ionoscribe/internal/modes"
)

// modeCommands are a command for each mode: of those that draw charts, and of those that print text.
func modeCommands(charts, text func(*mode.Mode) *cobra.Command) (all []*cobra.Command) {
	for _, m := range modes.All {
		if m.Text == nil {
			all = append(all, charts(m))
		} else {
			all = append(all, text(m))
		}
	}
	return all
}

// modesThat are those that have something, the broadest first.
func modesThat(has func(*mode.Mode) bool) (all []*mode.Mode) {
	for _, m := range slices.Backward(modes.All) {
		if has(m) {
			all = append(all, m)
		}
	}
	return all
}

func anyMode(*mode.Mode) bool         { return true }
func drawsCharts(m *mode.Mode) bool   { return m.Text == nil }
func printsText(m *mode.Mode) bool    { return m.Text != nil }
func isHeardBeside(m *mode.Mode) bool { return m.Beside != nil }

func names(all []*mode.Mode) (names []string) {
	for _, m := range all {
		names = append(names, m.Name)
	}
	return names
}

func titles(all []*mode.Mode) (titles []string) {
	for _, m := range all {
		titles = append(titles, m.Title)
	}
	return titles
}

// inWords lists words with commas between, and "or" or "and" before the last.
func inWords(words []string, before string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " " + before + " " + words[last]
}
