// Package nearest finds the name that a misspelt one stands for.
package nearest

import "strings"

// Name is the one of names that differs from a misspelt one by the fewest letters, a third of them at most, whatever its case; ""
// if there is none.
func Name(misspelt string, names []string) (near string) {
	misspelt = strings.ToLower(misspelt)
	least := len(misspelt)/3 + 1
	for _, name := range names {
		if d := distance(misspelt, strings.ToLower(name)); d < least || d == least && near == "" {
			near, least = name, d
		}
	}
	return near
}

// DidYouMean is an end of a sentence that asks for the nearest name, or "" if there is none.
func DidYouMean(misspelt string, names []string) string {
	if near := Name(misspelt, names); near != "" {
		return "did you mean " + near + "?"
	}
	return ""
}

// distance is the number of letters to put in, take out or change (V. I. Levenshtein, 1966).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		last := row[0]
		row[0] = i + 1
		for j := range len(b) {
			d := last
			if a[i] != b[j] {
				d = 1 + min(last, row[j], row[j+1])
			}
			last, row[j+1] = row[j+1], d
		}
	}
	return row[len(b)]
}
