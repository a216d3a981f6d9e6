package theory

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
