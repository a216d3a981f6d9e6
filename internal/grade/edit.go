package grade

// Edits are the least changes that make one text of another.
type Edits struct {
	Substituted int `json:"substituted"`
	Inserted    int `json:"inserted"` // heard, not sent
	Deleted     int `json:"deleted"`  // sent, not heard
}

// Total is the edit distance.
func (e Edits) Total() int { return e.Substituted + e.Inserted + e.Deleted }

// The last change of a text's beginning.
const (
	keep uint8 = iota
	substitute
	insert
	drop
)

// align finds the least edits that make heard of sent (Levenshtein, Soviet Physics Doklady 10, 1966, p. 707), and
// which characters of heard were sent. Of several ways it takes one that keeps characters as late as possible, so
// that what was printed before a message does not count as part of it.
//
// Only a band around the diagonal is computed, which is doubled until the distance fits into it (Ukkonen,
// "Algorithms for approximate string matching", Information and Control 64, 1985): time and memory go with the
// length of sent times the distance.
func align(sent, heard []rune) (e Edits, right []bool) {
	longer := max(len(sent), len(heard))
	width := 16
	last, ok := band(sent, heard, width)
	for !ok {
		width = min(2*width, longer) // no distance is greater
		last, ok = band(sent, heard, width)
	}
	right = make([]bool, len(heard))
	for i, j := len(sent), len(heard); i > 0 || j > 0; {
		switch last[i*(2*width+1)+j-i+width] {
		case keep:
			i, j = i-1, j-1
			right[j] = true
		case substitute:
			i, j = i-1, j-1
			e.Substituted++
		case insert:
			j--
			e.Inserted++
		case drop:
			i--
			e.Deleted++
		}
	}
	return e, right
}

// band fills the band of the table of changes from |i-j| = 0 to width: the entry i·(2·width+1)+j-i+width is the
// last change from sent[:i] to heard[:j]. ok says that the distance is at most width, so that no better way leaves
// the band.
func band(sent, heard []rune, width int) (last []uint8, ok bool) {
	if d := len(heard) - len(sent); d > width || -d > width {
		return nil, false
	}
	n := 2*width + 1
	far := int32(len(sent) + len(heard) + 1)
	last = make([]uint8, (len(sent)+1)*n)
	cost, before := make([]int32, n+1), make([]int32, n+1) // of a row; the entry behind it is out of reach
	before[n], cost[n] = far, far
	for i := 0; i <= len(sent); i++ {
		row := last[i*n:][:n]
		for k := range row {
			j := i + k - width
			c, change := far, insert
			switch {
			case j < 0 || j > len(heard):
			case i == 0:
				c = int32(j)
			default:
				if c, change = before[k+1]+1, drop; k == n-1 {
					c = far
				}
				if j > 0 {
					if sent[i-1] == heard[j-1] {
						if before[k] <= c {
							c, change = before[k], keep
						}
					} else if before[k]+1 <= c {
						c, change = before[k]+1, substitute
					}
					if k > 0 && cost[k-1]+1 < c {
						c, change = cost[k-1]+1, insert
					}
				}
			}
			cost[k], row[k] = c, change
		}
		before, cost = cost, before
	}
	return last, before[len(heard)-len(sent)+width] <= int32(width)
}
