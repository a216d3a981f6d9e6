package draw

import (
	"math"

	"ionoscribe/demod"
)

// Phasing lines carry a pulse: white on 95 % of black (ISO 9876:2015 3.8), black on white (common practice)
// or half and half (ISO 9876:2015 3.8). The line starts at the middle of the pulse, or, half and half, at the
// edge from white to black (common practice: the standards read for this do not say which point it is).

// phasing is what was found of it.
type phasing struct {
	rows  int     // the sketch's rows from first on that are phasing lines
	first int     //
	start float64 // line start as a share of the sketch's row (0 to 1), at the middle of these rows
	drift float64 // of the line start, in lines a line
	half  bool    // half and half
	white bool    // the pulse is the higher frequency
}

// phasingGroup rows of the sketch are averaged before a pulse is looked for: at 500 ppm it moves by 2 cells.
const phasingGroup = 8

// Bounds for a pulse: the share of the row's variance that it explains, and the contrast in units of
// black-to-white (which is 2 in units of the deviation).
const (
	pulseExplains = 0.5
	pulseContrast = 0.6
	// What a pulse leaves of a row is noise, which is unlike itself drawnCells farther on, beyond what rows are smoothed
	// over. Of 512 cells some 100 are independent, so that drawnLimit is five standard deviations.
	drawnCells = 8
	drawnLimit = 0.5
)

// pulse is the best one in a row.
type pulse struct {
	middle   float64 // cell
	contrast float64 // of the pulse over the rest, in units of the deviation; negative if black
	explains float64
	half     bool
	drawn    float64 // how alike what it leaves is to itself nearby: 0 is noise, 1 a picture
}

// findPulse looks for the best pulse of each form in a row of cells.
func findPulse(row []float64) pulse {
	n := len(row)
	sums := make([]float64, 2*n+1)
	var total, square float64
	for i := range 2 * n {
		sums[i+1] = sums[i] + row[i%n]
	}
	total = sums[n]
	for _, v := range row {
		square += v * v
	}
	variance := square/float64(n) - total/float64(n)*total/float64(n)
	var best pulse
	for _, half := range []bool{false, true} {
		w := int(math.Round(PulseShare * float64(n)))
		if half {
			w = n / 2
		}
		share := float64(w) / float64(n)
		for i := range n {
			in := sums[i+w] - sums[i]
			contrast := in/float64(w) - (total-in)/float64(n-w)
			explains := contrast * contrast * share * (1 - share) / (variance + 1e-12)
			if explains > best.explains {
				middle := float64(i) + float64(w)/2
				if half && contrast < 0 { // both halves are pulses: take the higher one
					middle, contrast = middle+float64(n)/2, -contrast
				}
				best = pulse{middle: math.Mod(middle, float64(n)), contrast: contrast, explains: explains, half: half}
			}
		}
	}
	best.drawn = restLikeness(row, best)
	return best
}

// restLikeness is the correlation of what a pulse leaves of a row with itself drawnCells farther on, away from its edges, which
// may be of another width: dark clouds between white margins look like phasing but for it.
func restLikeness(row []float64, q pulse) float64 {
	n := len(row)
	in := PulseShare * float64(n) / 2
	if q.half {
		in = float64(n) / 4
	}
	// The rest and, if it is long, the pulse, each less its mean.
	var products, squares float64
	for _, side := range []float64{0, float64(n) / 2} {
		reach := in
		if side > 0 {
			reach = float64(n)/2 - in
		}
		half := int(reach - PulseShare*float64(n))
		if half < 4*drawnCells {
			continue
		}
		middle := int(q.middle + side)
		at := func(i int) float64 { return row[((middle+i)%n+n)%n] }
		mean := 0.0
		for i := -half; i <= half; i++ {
			mean += at(i) / float64(2*half+1)
		}
		for i := -half; i <= half-drawnCells; i++ {
			products += (at(i) - mean) * (at(i+drawnCells) - mean)
			squares += ((at(i)-mean)*(at(i)-mean) + (at(i+drawnCells)-mean)*(at(i+drawnCells)-mean)) / 2
		}
	}
	return products / (squares + 1e-12)
}

// phasingRun is a run of groups with the same pulse, the index of each group beside it.
type phasingRun struct {
	pulses []pulse
	groups []int
	noise  []float64 // of each group: the logarithm of the power that its pulse does not explain
	power  float64   // sum over the groups
	gap    int       // groups since the last one, lost in a fade
}

const (
	// A fade of fadeGap groups does not end phasing: 12 s at 120 lines a minute. What has less than fadeShare of the
	// power that phasing had so far is lost in a fade.
	fadeGap   = 3
	fadeShare = 0.5
)

// findPhasing looks for phasing lines in the first limit lines of g, which has sketchCells columns; ok is false
// if there are fewer than two groups of them. announced says that g begins at the end of a start tone.
func findPhasing(v *Video, g grid, limit int, offset, deviation float64, announced bool) (p phasing, ok bool) {
	var run, best phasingRun
	for k := range limit / phasingGroup {
		q := findPulse(boxed(profile(v, g, k*phasingGroup, phasingGroup, offset, deviation), 5))
		power := v.power(int64(g.start(k*phasingGroup)), int64(g.start((k+1)*phasingGroup)))
		good := q.explains > pulseExplains && math.Abs(q.contrast) > 2*pulseContrast && (announced || q.drawn < drawnLimit)
		if good && len(run.pulses) > 0 {
			// At 500 ppm the pulse moves by 8 rows of 0.26 cells.
			l := run.pulses[len(run.pulses)-1]
			good = math.Abs(circular(q.middle-l.middle, sketchCells)) < 4*float64(1+run.gap) && q.half == l.half && q.contrast*l.contrast > 0
		}
		switch {
		case good:
			run.pulses, run.groups = append(run.pulses, q), append(run.groups, k)
			run.noise = append(run.noise, math.Log(power*(1-q.explains)+1e-12))
			run.power, run.gap = run.power+power, 0
			if cut := run.untilPicture(); len(cut.pulses) > len(best.pulses) {
				best = cut
			}
		case len(run.pulses) > 0 && run.gap < fadeGap && power < fadeShare*run.power/float64(len(run.pulses)):
			run.gap++
		case announced && len(best.pulses) >= announcedGroups && best.groups[0] <= 1:
			return best.fit(), true
		default:
			run = phasingRun{}
		}
	}
	if len(best.pulses) < 2 {
		return phasing{}, false
	}
	return best.fit(), true
}

// announcedGroups of phasing right after a start tone are phasing, though a dark picture in white margins may look like
// it for longer.
const announcedGroups = 3

// untilPicture is r without the groups of a picture that goes on like phasing, as dark clouds in white margins do. In
// phasing only noise is left beside the pulse, as strong in a fade as out of it; a picture leaves more. The change is
// where two means fit the logarithms best, and a picture has at least twice the power of the noise.
func (r phasingRun) untilPicture() phasingRun {
	best, at := 0.0, len(r.noise)
	for n := 2; n < len(r.noise); n++ {
		before, after := mean(r.noise[:n]), mean(r.noise[n:])
		// How much less the squares sum to with two means than with one.
		less := (after - before) * (after - before) * float64(n) * float64(len(r.noise)-n) / float64(len(r.noise))
		if after-before > math.Ln2 && less > best {
			best, at = less, n
		}
	}
	r.pulses, r.groups, r.noise = r.pulses[:at], r.groups[:at], r.noise[:at]
	return r
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// fit is the phasing of a run.
func (r *phasingRun) fit() phasing {
	first, last := r.groups[0], r.groups[len(r.groups)-1]
	begin := r.pulses[0]
	x, y := make([]float64, len(r.pulses)), make([]float64, len(r.pulses))
	for i, q := range r.pulses {
		x[i], y[i] = float64(r.groups[i])-float64(first+last)/2, circular(q.middle-begin.middle, sketchCells)
	}
	middle, drift, _ := line(x, y)
	return phasing{
		first: first * phasingGroup, rows: (last - first + 1) * phasingGroup,
		start: (begin.middle + middle) / sketchCells, drift: drift / phasingGroup / sketchCells,
		half: begin.half, white: begin.contrast > 0,
	}
}

// boxed is the circular mean of v over n places around each.
func boxed(v []float64, n int) []float64 {
	out := make([]float64, len(v))
	for i := range out {
		for k := range n {
			out[i] += v[(i+k-n/2+len(v))%len(v)] / float64(n)
		}
	}
	return out
}

// profile folds the lines of g from first on into one line of g.columns brightnesses, in units of the
// deviation from the middle (offset in Hz from CentreHz).
func profile(v *Video, g grid, first, rows int, offset, deviation float64) []float64 {
	sum := make([]complex64, g.columns+1)
	f := newFolder(v, g)
	for r := first; r < first+rows; r++ {
		f.add(sum, r)
	}
	out := make([]float64, g.columns)
	for i, c := range sum[:g.columns] {
		out[i] = (float64(demod.Phase(c))*VideoRate/(4*math.Pi) - offset) / deviation
	}
	return out
}

// edge finds where the circular profile crosses its middle level near column at, going up or down, to a
// fraction of a column: the area under it over ±reach columns tells, whatever the shape of the edge. The reach
// shrinks as the place becomes known, because what lies farther away is only noise.
func edge(p []float64, at float64, up bool) float64 {
	n := len(p)
	mean := func(from, to int) float64 { // of columns from..to-1
		s := 0.0
		for i := from; i < to; i++ {
			s += p[((i%n)+n)%n]
		}
		return s / float64(to-from)
	}
	for _, reach := range []int{n / 64, n / 64, n / 128, n / 200} {
		c := int(math.Round(at))
		before, after := mean(c-reach, c-reach/2), mean(c+reach/2, c+reach)
		if before == after || up != (after > before) {
			return at
		}
		area := mean(c-reach, c+reach) * float64(2*reach)
		// before·t + after·(2·reach-t) = area
		t := (after*float64(2*reach) - area) / (after - before)
		at = float64(c-reach) + min(max(t, 0), float64(2*reach))
	}
	return at
}

// phasingChain is the trellis's prior for phasing lines, of either form: two changes of level a line.
var phasingChain = chain{toBlack: 0.003, toWhite: 0.003}

// levels decides the levels of phasing lines by the trellis, which places an edge by the phase of all that lies
// around it: eight times more closely at 0 dB SNR than a discriminator does.
type levels struct {
	source *lineSource
	chain  chain
	*trellis
	upper, prior []float32
}

// newLevels prepares for the lines of g; offset and deviation in Hz.
func newLevels(v *Video, g grid, offset, deviation float64) *levels {
	s := newLineSource(v, newGrid(g.origin, g.period, g.columns), tuning{offset: offset, deviation: deviation})
	n := s.grid.steps + 2*lead
	l := &levels{s, phasingChain, newTrellis(n, s.advance()), make([]float32, n), make([]float32, n)}
	for i := range l.prior {
		l.prior[i] = 0.5
	}
	return l
}

// fold is the mean of rows lines from first on, in the steps of the trellis: how probable the higher level is,
// from -1 to 1. The trellis puts an edge between two steps, never within one, so successive lines are laid a quarter
// of a step apart around their place: their mean tells fractions.
func (l *levels) fold(first, rows int) []float64 {
	sum := make([]float64, l.source.grid.steps)
	origin, step := l.source.grid.origin, l.source.grid.step()
	for row := first; row < first+rows; row++ {
		l.source.grid.origin = origin + (float64(row%4)-1.5)/4*step
		l.source.load(row)
		l.source.observe(l.trellis, row, lead)
		l.run(l.upper, l.prior, l.chain)
		for i := range sum {
			sum[i] += (2*float64(l.upper[lead+i]) - 1) / float64(rows)
		}
	}
	l.source.grid.origin = origin
	return sum
}

// lineStart finds the line start in a row of levels, as a share of it. whiteUp says that white is the higher
// frequency.
func (p phasing) lineStart(f []float64, whiteUp bool) float64 {
	n := float64(len(f))
	if p.half {
		// From white to black: p.start is the middle of the higher half, whose edges are a quarter line away.
		if whiteUp { // it is the white one, and the line starts at its end
			return edge(f, p.start*n+n/4, false) / n
		}
		return edge(f, p.start*n-n/4, true) / n
	}
	a, b := p.edges(f)
	return (a + b) / 2 / n
}

// atLineStart is p for a grid whose lines begin at the line start.
func (p phasing) atLineStart(whiteUp bool) phasing {
	switch {
	case !p.half:
		p.start = 0
	case whiteUp:
		p.start = 0.75
	default:
		p.start = 0.25
	}
	return p
}

// resemblance is how much a row of levels from -1 to 1 that begins at the line start is a phasing line: 1 for a clean
// one. The pulse counts as much as the rest of the line.
func (p phasing) resemblance(row []float64, whiteUp bool) float64 {
	var sums, counts [2]float64
	n := len(row)
	for i, c := range row {
		high := i >= n/2 == whiteUp // half and half: black first, then white
		if !p.half {
			share := float64(min(i, n-i)) / float64(n) // distance from the line start
			high = share < PulseShare/2 == p.white
		}
		k := 0
		if high {
			k = 1
		}
		sums[k] += c
		counts[k]++
	}
	return (sums[1]/counts[1] - sums[0]/counts[0]) / 2
}

// edges are where the pulse begins and ends in a row of levels that begins at the line start.
func (p phasing) edges(row []float64) (a, b float64) {
	n := float64(len(row))
	return edge(row, -PulseShare/2*n, p.white), edge(row, PulseShare/2*n, !p.white)
}

// fit finds how far the line start is from that of the grid in the middle of the phasing lines, in lines, and how it
// drifts, in lines a line.
func (p phasing) fit(l *levels, whiteUp bool) (start float64, drift estimate) {
	groups := p.rows / phasingGroup
	x, y := make([]float64, groups), make([]float64, groups)
	for k := range groups {
		x[k] = float64((k*phasingGroup)+phasingGroup/2) - float64(p.rows)/2
		y[k] = circular(p.lineStart(l.fold(p.first+k*phasingGroup, phasingGroup), whiteUp), 1)
	}
	start, drift.slant, drift.deviation = line(x, y)
	// The scatter of a few groups can be small by chance: the less is believed of it the fewer there are.
	least := (0.02 + 0.15/float64(groups)) / float64(l.source.grid.columns) / (float64(p.rows) * math.Sqrt(float64(groups)/12))
	drift.deviation = max(drift.deviation, least)
	return start, drift
}

// line fits y = a + b·x by least squares, with the standard deviation of b.
func line(x, y []float64) (a, b, deviation float64) {
	n := float64(len(x))
	var sx, sy float64
	for i := range x {
		sx += x[i] / n
		sy += y[i] / n
	}
	var xx, xy float64
	for i := range x {
		xx += (x[i] - sx) * (x[i] - sx)
		xy += (x[i] - sx) * (y[i] - sy)
	}
	b = xy / xx
	a = sy - b*sx
	var rest float64
	for i := range x {
		d := y[i] - a - b*x[i]
		rest += d * d
	}
	return a, b, math.Sqrt(rest / max(n-2, 1) / xx)
}
