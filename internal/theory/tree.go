package theory

import (
	"cmp"
	"slices"
)

// Lengths in dots (ITU-R M.1677-1, annex 1 part I, clause 2): a dash is 3, the gap in a character 1, between
// characters 3, between words 7.
const (
	dashCells, gapCells, characterGapCells, wordGapCells = 3, 1, 3, 7
)

// branch is a dot or dash at the end of one or more beginnings of characters, its parent the one before it.
type branch struct {
	parent int
	at     int // cells from the beginning of the character to that of the element
	end    int // cells to the end of the element and of the gap behind it
	dash   bool
	sign   rune // the character that ends here, 0 if none does
}

// tree arranges a code as branches, each behind its parent; branch 0 is the root.
func tree(code map[rune]string) []branch {
	signs := make([]rune, 0, len(code))
	for r := range code {
		signs = append(signs, r)
	}
	slices.SortFunc(signs, func(a, b rune) int {
		return cmp.Or(cmp.Compare(len(code[a]), len(code[b])), cmp.Compare(a, b))
	})
	branches := []branch{{}}
	index := map[string]int{"": 0}
	for _, r := range signs {
		pattern := code[r]
		for n := 1; n <= len(pattern); n++ {
			if _, seen := index[pattern[:n]]; seen {
				continue
			}
			parent := index[pattern[:n-1]]
			b := branch{parent: parent, at: branches[parent].end, dash: pattern[n-1] == '-'}
			b.end = b.at + 1 + gapCells
			if b.dash {
				b.end += dashCells - 1
			}
			index[pattern[:n]] = len(branches)
			branches = append(branches, b)
		}
		branches[index[pattern]].sign = r
	}
	return branches
}
