// Package nearest finds the name that a misspelt one stands for, by the edit distance of texts.
package nearest

import "strings"

// Name is the one of names that differs from a misspelt one by the fewest letters, a third of them at most, whatever its case; ""
// if there is none.
func Name(misspelt string, names []string) (near string) {
	misspelt = strings.ToLower(misspelt)
	least := len(misspelt)/3 + 1
	for _, name := range names {
		if d := Distance([]rune(misspelt), []rune(strings.ToLower(name))); d < least || d == least && near == "" {
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

// Distance is the least number of runes to insert, delete or replace that turns a into b
// (V. I. Levenshtein, Soviet Physics Doklady 10, 1966, p. 707).
func Distance(a, b []rune) int {
	row := make([]int, len(b)+1) // distances of the beginnings of b to the part of a seen so far
	for j := range row {
		row[j] = j
	}
	for i, r := range a {
		diagonal := i
		row[0] = i + 1
		for j, s := range b {
			replaced := diagonal
			if r != s {
				replaced++
			}
			diagonal = row[j+1]
			row[j+1] = min(replaced, row[j]+1, diagonal+1)
		}
	}
	return row[len(b)]
}
