package scenes

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ionoscribe/internal/mode"
	"ionoscribe/survey"
)

// Table sums up the grades of scenes.
type Table []Grade

// Header is the line above the table.
const Header = "kind           SNR, dB  signals  kind right  frequency  beginning    end  all right  told after, s"

// classes are the bounds of SNR in dB of the table's lines.
var classes = []float64{0, 10, 20, 31}

// Lines are those of the table, then a summary.
func (t Table) Lines(modes []*mode.Mode) (lines []string) {
	for _, k := range kindsOf(modes) {
		for i := range len(classes) - 1 {
			name, variant := k.names()
			if l := t.line(name, variant, classes[i], classes[i+1]); l != "" {
				lines = append(lines, l)
			}
		}
	}
	if l := t.line(survey.Other, "", math.Inf(-1), math.Inf(1)); l != "" {
		lines = append(lines, l)
	}
	hours, split, wrong := 0.0, 0, 0
	for _, g := range t {
		hours += g.Seconds / 3600
		split += len(g.Split)
		wrong += len(g.False)
	}
	return append(lines, "", fmt.Sprintf("%.1f hours; false findings: %d, %.2f an hour; signals found in parts: %d", hours, wrong, float64(wrong)/hours, split))
}

// line is that of a kind (Other: all) and variant at an SNR from low to below high.
func (t Table) line(k survey.Kind, variant string, low, high float64) string {
	n := 0
	var right [5]int
	var late []float64
	for _, g := range t {
		for _, s := range g.Signals {
			if k != survey.Other && (s.Kind != k || s.Variant != variant) || s.SNR < low || s.SNR >= high {
				continue
			}
			n++
			a, b, c, d := s.Right()
			for i, ok := range []bool{a, b, c, d, a && b && c && d} {
				if ok {
					right[i]++
				}
			}
			if s.Found != nil {
				late = append(late, s.Found.KnownSeconds-s.BeginSeconds)
			}
		}
	}
	if n == 0 {
		return ""
	}
	share := func(i int) string { return fmt.Sprintf("%.1f %%", 100*float64(right[i])/float64(n)) }
	name, span, told := "all", "", "-"
	if k != survey.Other {
		name = strings.TrimSpace(string(k) + " " + variant)
		span = fmt.Sprintf("%g to %g", low, math.Min(high, 30))
	}
	if slices.Sort(late); len(late) > 0 {
		told = fmt.Sprintf("%.1f", late[len(late)/2])
	}
	return fmt.Sprintf("%-12s %9s %8d %11s %10s %10s %6s %10s %14s", name, span, n, share(0), share(1), share(2), share(3), share(4), told)
}
