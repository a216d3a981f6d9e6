package draw

import "math"

// place is one where the sides of the page may meet: a strip of columns that are all paper or all ink, or the
// edge between two columns.
type place struct {
	from, to int // columns of the middle line; to may lie beyond the circle
	lay      int // under which lean
	kind     placeKind
	features [featureCount]float64
	clock    float64 // logarithm of how probable its clock error is
}

type placeKind int

const (
	strip placeKind = iota // blank
	rule                   // a line down the page
	cut                    // between two columns
)

func (c place) middle() float64 { return float64(c.from+c.to) / 2 }

// lineShare is the share of its rows that a column of a line down the page has in ink: it need not begin with the chart
// nor end with it.
const lineShare = 0.5

// places are all of the page that come into question, with cuts or without.
func (p *pageView) places(cuts bool) []place {
	var out []place
	covered := make([]bool, p.columns)
	mark := func(from, to int) {
		for c := from; c < to; c++ {
			covered[c%p.columns] = true
		}
	}
	for _, ink := range []bool{false, true} {
		for _, s := range p.strips(ink) {
			out = append(out, place{from: s[0], to: s[1], kind: strip})
			p.describeStrip(&out[len(out)-1], ink)
			mark(s[0], s[1])
		}
	}
	widest := 1e-9
	for _, c := range out {
		widest = max(widest, float64(c.to-c.from))
	}
	for i := range out {
		out[i].features[featureRank] = math.Log(float64(out[i].to-out[i].from) / widest)
	}
	rules, thickest := len(out), 0.0
	for _, s := range p.lines() {
		out = append(out, place{from: s[0], to: s[1], kind: rule})
		p.describeRule(&out[len(out)-1])
		thickest = max(thickest, p.body(s[0], s[1]))
		mark(s[0], s[1])
	}
	for i := range out[rules:] {
		c := &out[rules+i]
		c.features[featureRuleRank] = math.Log(p.body(c.from, c.to) / thickest)
	}
	for c := range p.columns {
		if cuts && !covered[c] && !covered[(c+p.columns-1)%p.columns] {
			out = append(out, place{from: c, to: c, kind: cut})
			p.describeCut(&out[len(out)-1])
		}
	}
	return out
}

// body is how much ink a line down the page has, in columns.
func (p *pageView) body(from, to int) (sum float64) {
	for c := from; c < to; c++ {
		sum += p.share(c)
	}
	return sum
}

// strips are the strips of columns that are blank (or all ink): segments in which it is the likeliest that all contrary
// rows are mistakes of the trellis. Each column gives evidence for it by the number of its contrary rows, which is
// Poisson with the page's rate of mistakes in a blank column, and geometric with the page's mean in another.
func (p *pageView) strips(ink bool) (found [][2]int) {
	contrary := make([]float64, p.columns)
	for c := range contrary {
		for r, v := range p.column(c) {
			if (v != 0) != ink {
				contrary[c] += 1 - float64(p.doubt[c*p.rows+r])
			}
		}
	}
	low := math.Inf(1) // of a calm strip's mean
	w := max(int(4*p.pixel), 2)
	mean := 0.0
	for c := range contrary {
		sum := 0.0
		for k := range w {
			sum += contrary[(c+k)%p.columns]
		}
		low = min(low, sum/float64(w))
		mean += contrary[c] / float64(p.columns)
	}
	if low > 0.1*float64(p.rows) {
		return nil
	}
	mistakes := 1.5*low + 0.1
	mean = max(mean, 2*mistakes)
	score := func(c int) float64 {
		d := contrary[c]
		g, _ := math.Lgamma(d + 1)
		return d*math.Log(mistakes) - mistakes - g - (d*math.Log(mean/(1+mean)) - math.Log(1+mean))
	}
	// From the most contrary column on, so that no segment goes around the end of the circle.
	start := 0
	for c, v := range contrary {
		if v > contrary[start] {
			start = c
		}
	}
	const enough = 2 // nats that a segment must gain
	sum, best, from, to := 0.0, 0.0, 0, 0
	end := func() {
		if best >= enough {
			found = append(found, [2]int{start + from, start + to})
		}
	}
	for i := range p.columns {
		s := score((start + i) % p.columns)
		if sum == 0 && s > 0 {
			best, from, to = 0, i, i
		}
		if sum > 0 || s > 0 {
			sum += s
			if sum > best {
				best, to = sum, i+1
			}
		}
		if sum <= 0 || best-sum > 8 { // 8 nats against: the segment has ended
			if best > 0 {
				end()
			}
			sum, best = 0, 0
		}
	}
	if best > 0 {
		end()
	}
	return found
}

// lines are the lines down the page.
func (p *pageView) lines() (found [][2]int) {
	most := int(16 * p.pixel)
	start := 0
	for start < p.columns && p.share(start) > lineShare {
		start++
	}
	begin := -1
	for c := start; c <= start+p.columns; c++ {
		on := c < start+p.columns && p.share(c) > lineShare
		if on && begin < 0 {
			begin = c
		}
		if !on && begin >= 0 {
			if c-begin <= most {
				found = append(found, [2]int{begin, c})
			}
			begin = -1
		}
	}
	return found
}
