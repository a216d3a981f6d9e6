package draw

import (
	"math"
	"slices"
)

// pageRows is the most rows that are looked at for the line start, over the whole chart.
const pageRows = 400

// worstRead is by how many dB the SNR of a line may be below the median, or it is not looked at: noise writes into its
// margins.
const worstRead = 6

// pageView is a page with two levels as the trellis reads it, by columns: a circle of them, because nothing is known of
// where the lines begin.
type pageView struct {
	pageLevels
	rows       int
	pixel      float64   // columns to a pixel of index 576
	ink        []uint8   // by columns: 1 where the row has the level that is rarer on the page
	doubt      []float32 // by columns: how near the trellis was to the other level, 0 to 1
	upperPaper bool      // the level that is more common is the higher frequency
	inked      []int     // rows of each column that have ink
	across     []int     // columns of each row that have ink
	stay       [8]float64
}

// pageLevels is a page as the trellis reads it, a row a line or every so many lines.
type pageLevels struct {
	upper   []float32 // by columns: how probable the higher level is, from -1 to 1
	columns int
	line    []int // of each row
}

// readLevels reads lines of g.
func readLevels(v *Video, g grid, lines int, offset, deviation float64) pageLevels {
	l := newLevels(v, g, offset, deviation)
	page := pageLevels{columns: l.source.grid.steps}
	rows := min(lines, pageRows)
	l.chain = firstChain
	if paperIsLower(v, g, lines, offset) {
		l.chain.toBlack, l.chain.toWhite = l.chain.toWhite, l.chain.toBlack
	}
	read, snr := make([][]float64, rows), make([]float64, rows)
	for r := range rows {
		read[r] = l.fold(r*lines/rows, 1)
		snr[r] = snrDB(l.source.signal, l.source.noise)
	}
	sorted := slices.Sorted(slices.Values(snr))
	var kept [][]float64
	for r, row := range read {
		if snr[r] >= sorted[rows/2]-worstRead {
			kept = append(kept, row)
			page.line = append(page.line, r*lines/rows)
		}
	}
	page.upper = make([]float32, page.columns*len(kept))
	for r, row := range kept {
		for c, u := range row {
			page.upper[c*len(kept)+r] = float32(u)
		}
	}
	return page
}

// newPageView looks at a page by its levels.
func newPageView(l pageLevels) *pageView {
	n, rows, upper := l.columns, len(l.line), l.upper
	p := &pageView{pageLevels: l, rows: rows, pixel: float64(n) / float64(Columns(576))}
	sum := 0.0
	for _, u := range upper {
		sum += float64(u)
	}
	p.upperPaper = sum >= 0
	p.ink, p.doubt = make([]uint8, len(upper)), make([]float32, len(upper))
	p.inked, p.across = make([]int, n), make([]int, p.rows)
	for i, u := range upper {
		if u > 0 != p.upperPaper {
			p.ink[i] = 1
			p.inked[i/p.rows]++
			p.across[i%p.rows]++
		}
		p.doubt[i] = 1 - abs32(u)
	}
	p.learnStay()
	return p
}

// paperIsLower says that more of the video lies below the middle than above.
func paperIsLower(v *Video, g grid, lines int, offset float64) bool {
	sum := 0.0
	for _, b := range profile(v, g.foldable(), 0, min(lines, pageRows), offset, 1) {
		sum += math.Copysign(1, b)
	}
	return sum < 0
}

// column is the ink of a column, which may be counted beyond the circle.
func (p *pageView) column(c int) []uint8 {
	c = ((c % p.columns) + p.columns) % p.columns
	return p.ink[c*p.rows:][:p.rows]
}

// share of the rows of a column that has ink.
func (p *pageView) share(c int) float64 {
	c = ((c % p.columns) + p.columns) % p.columns
	return float64(p.inked[c]) / float64(p.rows)
}

// strokes counts the strokes that reach column a, and those of them that go on in column b, some columns away: a stroke
// may climb by half of that.
func (p *pageView) strokes(a, b int) (all, going int, chance float64) {
	from, to := p.column(a), p.column(b)
	reach := 1 + int(math.Abs(float64(b-a))/2)
	// last[r] is how many rows before r the other column last had ink.
	covered, begin := 0, -1
	near := func(lo, hi int) bool {
		for r := max(lo, 0); r < min(hi, p.rows); r++ {
			if to[r] != 0 {
				return true
			}
		}
		return false
	}
	until := -1
	for r, v := range to {
		if v != 0 {
			covered += r + reach + 2 - max(r-reach-1, until)
			until = r + reach + 2
		}
	}
	for r := 0; r <= p.rows; r++ {
		on := r < p.rows && from[r] != 0
		if on && begin < 0 {
			begin = r
		}
		if !on && begin >= 0 {
			all++
			if near(begin-reach, r+reach) {
				going++
			}
			begin = -1
		}
	}
	return all, going, min(float64(covered)/float64(p.rows), 1)
}

// stayClass is the class of a distance in columns.
func stayClass(d int) int { return min(int(math.Log2(float64(d)+0.5)), 7) }

// learnStay measures how many strokes of this page go on over each class of distance.
func (p *pageView) learnStay() {
	for k := range p.stay {
		d := 1 << k
		all, going := 1.0, 0.5
		for c := 0; c < p.columns; c += 8 {
			a, g, _ := p.strokes(c, c+d)
			all += float64(a)
			going += float64(g)
		}
		p.stay[k] = going / all
	}
}

// broken is the evidence, in nats, that the strokes left of a and right of b (a < b) are of different sides of the page:
// how many of them would go on if they were not, and how many do by chance.
func (p *pageView) broken(a, b int) (sum float64) {
	one := func(from, to int) {
		all, going, chance := p.strokes(from, to)
		stay := p.stay[stayClass(b-a)]
		chance = min(max(chance, 0.02), stay-0.01)
		if chance < 0.02 {
			return
		}
		stay = min(stay, 0.98)
		sum += float64(going)*math.Log(chance/stay) + float64(all-going)*math.Log((1-chance)/(1-stay))
	}
	one(a, b)
	one(b, a)
	return sum
}
