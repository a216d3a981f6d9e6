package draw

import "math"

// slantStrength is how many times sharper the right slant must be than any that is not its neighbour. phasedSlant
// bounds the search around the drift of the phasing pulse, and leastSlantRows says how many lines a picture must
// have to be searched.
const (
	slantStrength  = 1.15
	phasedSlant    = 300e-6
	leastSlantRows = 4 * stackRows
	// sharpestPixels is how far the sharpest picture may be off, in pixels from top to bottom.
	sharpestPixels = 3.0
)

// measure is a chart being measured.
type measure struct {
	video   *Video
	heard   Heard
	orders  Orders
	nominal float64 // video samples a line, by a right clock
	lines   int     // that the span holds
	columns int
	offset  float64 // of the middle between black and white from CentreHz, Hz
	clock   clock   // what is known of the line clock
	// sideband is the log-likelihood ratio that white is the higher frequency, in nats (see polarity.go).
	sideband float64
	before   carried // line clock of an earlier chart
}

// phased finds the lines of a picture whose phasing p was heard; the grid begins with the picture.
func (m *measure) phased(p phasing) (g grid, upper bool) {
	middle := p.first + p.rows/2 // line in the middle of phasing: the pivot of all slants
	pulse := float64(m.heard.From) + (float64(p.first)+float64(p.rows)/2+p.start)*m.nominal
	period := m.nominal * (1 + p.drift)
	g = newGrid(pulse-float64(middle)*period, period, m.columns)
	g, upper = m.polarity(g, p)
	p = p.atLineStart(upper)

	offset, phasing := p.fit(newLevels(m.video, g, m.offset, m.orders.DeviationHz), upper)
	g.origin += offset * g.period
	g = g.slanted(phasing.slant, middle)
	phases := p.clock(m.video, g, upper, m.offset, m.orders.DeviationHz)
	if phases.deviation < phasing.deviation {
		g = g.slanted(phases.slant, middle)
	}
	// Fading moves edges, however they are measured, so the deviation is that of the phases in any case.
	phasing = estimate{0, phases.deviation}
	first := m.pictureStart(g, p, upper)

	m.clock = clock{phasing, phasing.deviation, 0}
	if lines := int((float64(m.heard.To) - g.start(first)) / g.period); lines >= leastSlantRows {
		both := m.slantNear(g.from(first), lines, phasing)
		g = g.slanted(both.slant, middle)
		m.clock = clock{estimate{-both.slant, phasing.deviation}, both.deviation, 0}
	}
	return g.from(first), upper
}

// unphased finds the lines of a picture from the picture alone; the grid begins with the line that is under way
// at the beginning.
func (m *measure) unphased() (g grid, found seam, upper, slanted bool) {
	g = newGrid(float64(m.heard.From), m.nominal, m.columns)
	if m.before.period != 0 {
		g, found = m.carriedOn(g)
		slanted = true
	} else {
		g, found, slanted = m.joined(g)
	}
	m.sideband += deadSectorRatio(found.level, found.level)
	g.origin += found.middle * g.period
	if found.middle > 0.02 { // more than the inaccuracy of the margin
		g.origin -= g.period
	}
	return g, found, m.whiteIsUpper(), slanted
}

// carriedOn finds the lines by those of an earlier chart: the receiver's clock is the same whoever sends.
func (m *measure) carriedOn(g grid) (grid, seam) {
	before := m.before
	g = g.slanted(before.period*before.lpm/(60*VideoRate)-1, 0)
	page := estimate{0, math.Inf(1)}
	if m.lines >= leastSlantRows {
		page, _ = m.slant(g, m.lines, 5*senderClock)
	}
	slant, known := before.slant(page)
	g = g.slanted(slant, 0)
	m.clock = known
	levels := readLevels(m.video, g, m.lines, m.offset, m.orders.DeviationHz)
	lays := []lay{{first: true}}
	return g, newPageView(levels).findSeam(levels.seamPlaces(lays, m.lines), lays, before.on(g, m.heard.LPM, m.lines/2))
}

// joined finds the lines of a picture of which nothing is known, and whether their slant is sure.
func (m *measure) joined(g grid) (_ grid, found seam, slanted bool) {
	levels := readLevels(m.video, g, m.lines, m.offset, m.orders.DeviationHz)
	p := newPageView(levels)
	e, strength := m.slant(g, m.lines, maxClockPPM*1e-6)
	whole := float64(p.columns * m.lines) // columns that a slant of one is
	lays := p.lays(m.lines, maxClockPPM*1e-6*whole, e.slant*whole)
	found = p.findSeam(levels.seamPlaces(lays, m.lines), lays, carried{})
	half := m.lines / 2
	g = g.slanted(lays[found.lay].lean/whole, half)
	e = m.slantFrom(g, m.lines)
	g = g.slanted(e.slant, half)
	m.clock = clock{estimate{0, math.Inf(1)}, maxClockPPM * 1e-6, 0}
	slanted = found.laid > LeastSure || found.lay == 0 && strength > slantStrength
	if slanted {
		m.clock.deviation = e.deviation
	}
	return g, found, slanted
}

// slant measures the slant of the lines of g within ±limit, in lines a line, and how far it stands out (see
// sketch.slant).
func (m *measure) slant(g grid, lines int, limit float64) (e estimate, strength float64) {
	coarse, strength := newSketch(m.video, g.origin, g.period, lines).slant(limit)
	cell := 1 / (sketchCells * float64(min(lines, sketchRows)))
	st := newStack(m.video, g.slanted(coarse, 0).foldable(), lines)
	e.slant = st.sharpest(1.5 * cell)
	e.deviation = sharpestPixels / float64(m.columns*lines)
	e = st.slant(e, e.slant)
	e.slant += coarse
	return e, strength
}

// slantFrom measures the slant that is left in lines of g, which lean by some pixels at most.
func (m *measure) slantFrom(g grid, lines int) (e estimate) {
	st := newStack(m.video, g.foldable(), lines)
	e.deviation = sharpestPixels / float64(m.columns*lines)
	return st.slant(e, 0)
}

// slantNear measures the slant of the lines of g, of which something is known.
func (m *measure) slantNear(g grid, lines int, known estimate) estimate {
	if 3*known.deviation > sharpestPixels/float64(m.columns*lines) {
		e, _ := m.slant(g, lines, min(5*known.deviation+3e-6, phasedSlant))
		return known.with(e)
	}
	return newStack(m.video, g.foldable(), lines).slant(known, known.slant)
}

// polarity finds out whether white is the higher frequency. The lines of g begin in the middle of the pulse of p or
// of its higher half; those of the result, at the line start.
func (m *measure) polarity(g grid, p phasing) (grid, bool) {
	first, last := p.first+p.rows+leastRows, m.lines-2
	normal, mirrored := g, g // as they are if white is the higher, or the lower frequency
	if p.half {
		normal.origin += g.period / 4 // white ends at the line start
		mirrored.origin -= g.period / 4
	} else {
		m.sideband += pulseRatio(p.white)
	}
	if last-first >= leastRows {
		m.sideband += deadSectorRatio(m.deadSector(normal, first, last), m.deadSector(mirrored, first, last))
	}
	if m.whiteIsUpper() {
		return normal, true
	}
	return mirrored, false
}

// whiteIsUpper is what the evidence says, or the order.
func (m *measure) whiteIsUpper() bool {
	if m.orders.Sideband != Either {
		return m.orders.Sideband != Lower
	}
	return m.sideband >= 0
}

// deadSector measures the brightness around the line start of g in lines first to last, in units of the
// deviation.
func (m *measure) deadSector(g grid, first, last int) (level float64) {
	lines := min(last-first, 200)
	f := profile(m.video, g.foldable(), first+(last-first-lines)/2, lines, m.offset, m.orders.DeviationHz)
	w := len(f) * 3 / 200 // 1.5 % to each side
	for i := range w {
		level += f[i] + f[len(f)-1-i]
	}
	return level / float64(2*w)
}

// pictureStart is the first row of g that is no phasing line any more.
func (m *measure) pictureStart(g grid, p phasing, upper bool) int {
	const before, after = 16, 24 + fadeGap*phasingGroup
	first := max(p.first+p.rows-before, p.first)
	score, weight := make([]float64, before+after), make([]float64, before+after)
	l := newLevels(m.video, g, m.offset, m.orders.DeviationHz)
	var edges [before + after][2]float64
	for r := range score {
		row := l.fold(first+r, 1)
		score[r] = p.resemblance(row, upper)
		weight[r] = m.video.power(int64(g.start(first+r)), int64(g.start(first+r+1)))
		edges[r][0], edges[r][1] = p.edges(row)
	}
	// The change is where the rows before it look like phasing and those behind it do not.
	mean, power := 0.0, 0.0
	for r, c := range score[:before/2] {
		mean += c / (before / 2)
		power += weight[r] / (before / 2)
	}
	best, at, sum := math.Inf(-1), 0, 0.0
	for r := 0; r <= len(score); r++ {
		if sum > best {
			best, at = sum, r
		}
		if r < len(score) {
			// A row in a fade tells little.
			sum += min(weight[r]/power, 1) * (score[r] - 0.8*mean) // an even grey with a white margin has 0.5, a dark row in wide margins 0.7
		}
	}
	if p.half {
		return first + at
	}
	// A black frame between white margins looks like a pulse too, but not of the same width.
	var a, b, aa, bb float64
	for _, e := range edges[:before/2] {
		a, b = a+e[0]/(before/2), b+e[1]/(before/2)
	}
	for _, e := range edges[:before/2] {
		aa, bb = aa+(e[0]-a)*(e[0]-a)/(before/2), bb+(e[1]-b)*(e[1]-b)/(before/2)
	}
	// The limit is half of what 4.56 % (two margins of common practice) differ from 5 % on each side; where noise
	// moves the edges by as much, they tell nothing.
	limit := 0.0012 * float64(l.source.grid.steps)
	if 5*math.Sqrt(max(aa, bb)) > limit {
		return first + at
	}
	for at > before/2 && (math.Abs(edges[at-1][0]-a) > limit || math.Abs(edges[at-1][1]-b) > limit) {
		at--
	}
	return first + at
}
