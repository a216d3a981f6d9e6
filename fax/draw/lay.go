package draw

import (
	"math"
	"slices"
)

// A page that was joined late tells its clock by more than lines down it: by the blank seam too, where the sides of the
// paper meet. Under a wrong lean the page's ink closes it from both sides. So of every lean it is asked how sharp the
// sums of ink down the page are, as in clock.go, and how blank from top to bottom its blankest strip is; what is best in
// either way is looked at more closely (seam.go), clock and line start together.

// lay is a way in which the lines of a page may lie.
type lay struct {
	lean  float64 // of the page to the right, in columns over all lines
	first bool    // it is the best in some way
	sharp float64 // logarithm of the sharpness
	blank float64 // evidence for the best blank strip, in nats
}

const (
	// layTops is how many leans are looked at that are best in either way, layApart how far apart they are, in columns.
	layTops  = 5
	layApart = 4
	// layStep is between the leans that are tried around them, in columns, layReach how far off they are tried.
	layStep  = 0.5
	layReach = 2
	// blankScale is how many nats of a blank strip weigh as much as sharpness that is e times greater.
	blankScale = 10
	// edgeNats is the weight of ink at the edges of a strip, in nats for e times as much: with 20 the right lean was the
	// best in 157 of 189 pages, with 0 in 153.
	edgeNats = 20
)

// lays are the leans of a page of so many lines that come into question, within ±limit columns, and one that is told
// beforehand.
func (p *pageView) lays(lines int, limit, told float64) (found []lay) {
	w := p.blankWeights(lines, limit)
	var all []lay
	p.eachLean(lines, limit, func(lean float64, sum []float32) { all = append(all, w.lay(lean, sum)) })
	found = []lay{{lean: told, first: true}}
	near := func(l lay) bool {
		return slices.ContainsFunc(found, func(f lay) bool { return math.Abs(f.lean-l.lean) < layApart })
	}
	for rank := range layTops {
		for _, better := range []func(a, b lay) bool{
			func(a, b lay) bool { return a.sharp > b.sharp },
			func(a, b lay) bool { return a.blank > b.blank },
		} {
			best := -1
			for k, l := range all {
				if (best < 0 || better(l, all[best])) && !near(l) {
					best = k
				}
			}
			if best >= 0 {
				found = append(found, all[best])
				found[len(found)-1].first = rank == 0
			}
		}
	}
	sum := make([]float32, p.columns)
	for i, l := range found {
		best := lay{sharp: math.Inf(-1)}
		for d := -float64(layReach); d <= layReach; d += layStep {
			p.sumAlong(sum, l.lean+d, lines)
			n := w.lay(l.lean+d, sum)
			if n.sharp+n.blank/blankScale > best.sharp+best.blank/blankScale {
				best = n
			}
		}
		best.first = l.first
		found[i] = best
	}
	return found
}

// sumAlong adds up the ink along a lean, column by column of the middle line.
func (p *pageView) sumAlong(sum []float32, lean float64, lines int) {
	clear(sum)
	shift := make([]int, p.rows)
	for r := range shift {
		shift[r] = p.shift(r, lean, lines)
	}
	for c := range p.columns {
		for r, v := range p.column(c) {
			if v != 0 {
				sum[(c-shift[r]+2*p.columns)%p.columns]++
			}
		}
	}
}

// shift is by how many columns a row of a leaning page is too far to the right, from -columns/2 to columns/2.
func (l pageLevels) shift(row int, lean float64, lines int) int {
	d := math.Floor(lean*(float64(l.line[row])/float64(lines)-0.5) + 0.5)
	return int(math.Remainder(d, float64(l.columns)))
}

// upright is the page without its lean: the middle line stays where it is.
func (l pageLevels) upright(lean float64, lines int) pageLevels {
	rows := len(l.line)
	out := l
	out.upper = make([]float32, len(l.upper))
	for r := range rows {
		shift := l.shift(r, lean, lines)
		for c := range l.columns {
			k := (c + shift + l.columns) % l.columns
			out.upper[c*rows+r] = l.upper[k*rows+r]
		}
	}
	return out
}

// blankWeights weigh what speaks for a blank strip.
type blankWeights struct {
	column []float32 // the evidence of a column with so many rows of ink, as in pageView.strips
	mean   float64   // rows of ink in a column of the page
}

func (p *pageView) blankWeights(lines int, limit float64) (w blankWeights) {
	for _, k := range p.inked {
		w.mean += float64(k) / float64(p.columns)
	}
	low := math.Inf(1) // of a calm strip's mean
	width := max(int(4*p.pixel), 2)
	p.eachLean(lines, limit, func(_ float64, sum []float32) {
		v := float32(0)
		for _, n := range sum[:width] {
			v += n
		}
		for c, n := range sum {
			low = min(low, float64(v)/float64(width))
			v += sum[(c+width)%p.columns] - n
		}
	})
	mistakes := 1.5*low + 0.1
	w.mean = max(w.mean, 2*mistakes)
	w.column = make([]float32, p.rows+1)
	for d := range w.column {
		g, _ := math.Lgamma(float64(d) + 1)
		k := float64(d)
		w.column[d] = float32(k*math.Log(mistakes) - mistakes - g - (k*math.Log(w.mean/(1+w.mean)) - math.Log(1+w.mean)))
	}
	return w
}

// lay judges the sums of ink along a lean.
func (w blankWeights) lay(lean float64, sum []float32) lay {
	q, last := 1.0, sum[len(sum)-1]
	for _, v := range sum {
		d := float64(v - last)
		q += d * d * d * d
		last = v
	}
	return lay{lean: lean, sharp: math.Log(q), blank: w.blankest(sum)}
}

// blankest is the evidence for the best blank strip: how blank it is, and how much ink begins at its edges. Strokes of a
// picture do not end side by side, but all that reach the edge of the paper do.
func (w blankWeights) blankest(sum []float32) float64 {
	n := len(sum)
	start := 0 // outside of all strips, or one that goes around the circle would be cut
	for start < n && w.column[int(sum[start])] > 0 {
		start++
	}
	at := func(c int) float32 { return sum[(c+2*n)%n] }
	edge := func(c, d int) float64 {
		return math.Log((float64(at(c)+at(c+d)+at(c+2*d)) + 1) / (3*w.mean + 1))
	}
	top := 0.0
	var run, best float32
	from, to := 0, 0
	end := func() {
		if best > 0 {
			top = max(top, float64(best)+edgeNats*(edge(from-1, -1)+edge(to, 1)))
		}
		run, best = 0, 0
	}
	for c := start; c < start+n; c++ {
		v := w.column[int(at(c))]
		if run == 0 {
			if v <= 0 {
				continue
			}
			from = c
		}
		run += v
		if run > best {
			best, to = run, c+1
		}
		if run <= 0 || run < best-8 {
			end()
		}
	}
	end()
	return top
}

// eachLean calls f with the sums of the page's ink along straight lines of every lean within ±limit columns over all
// lines, in order, by a discrete Radon transform as in clock.go at the page's full resolution. Sums are f's for the call.
func (p *pageView) eachLean(lines int, limit float64, f func(lean float64, sum []float32)) {
	slots := min(lines, pageRows) // in which the rows lie
	size, n := 64, p.columns
	for size < slots {
		size *= 2
	}
	unit := float64(slots) / float64(size-1) // columns over all lines, from one lean to the next
	reach := int(limit/unit) + 1
	a, b := make([]float32, size*n), make([]float32, size*n)
	for from := -(reach + size - 1) / size * size; from <= reach; from += size {
		clear(a)
		for r, line := range p.line {
			y := line * slots / lines
			row := a[y*n:][:n]
			shift := int(math.Floor(float64(from)*float64(y)/float64(size-1) + 0.5))
			at := ((-shift)%n + n) % n
			for c := range n {
				if p.ink[c*p.rows+r] != 0 {
					row[(c+at)%n]++
				}
			}
		}
		out := columnSums(a, b, size, size-1, n)
		for t := max(-reach-from, 0); t < size && from+t <= reach; t++ {
			f(float64(from+t)*unit, out[t*n:][:n])
		}
	}
}
