package draw

// SeamPlace is a place where the sides of a page may meet: its middle, as a share of the line, and the evidence for it.
type SeamPlace struct {
	Middle   float64
	Lean     float64 // of the page over all lines, as a share of the line
	Features []float64
	Clock    float64 // logarithm of how probable its clock error is
}

// PageLevels reads a page for SeamPlaces at the line rate of d, and how it leans by its sketch: over all lines, as a share
// of the line.
func PageLevels(v *Video, d Drawing) (levels []int8, line []int, lean float64) {
	g := newGrid(d.Origin, d.Period, d.Columns)
	l := readLevels(v, g, d.Rows, d.OffsetHz, d.DeviationHz)
	levels = make([]int8, len(l.upper))
	for i, u := range l.upper {
		levels[i] = int8(u * 127)
	}
	m := measure{video: v, columns: d.Columns}
	e, _ := m.slant(g, d.Rows, maxClockPPM*1e-6)
	return levels, l.line, e.slant * float64(d.Rows)
}

// SeamPlaces are those of a page of so many lines, which leans by told as its sketch has it.
func SeamPlaces(levels []int8, line []int, lines int, told float64) (out []SeamPlace) {
	l := unpacked(levels, line)
	p := newPageView(l)
	lays := p.lays(lines, maxClockPPM*1e-6*float64(p.columns*lines), told*float64(p.columns))
	for _, c := range l.seamPlaces(lays, lines) {
		out = append(out, SeamPlace{c.middle() / float64(p.columns), lays[c.lay].lean / float64(p.columns), append([]float64(nil), c.features[:]...), c.clock})
	}
	return out
}

func unpacked(levels []int8, line []int) pageLevels {
	l := pageLevels{upper: make([]float32, len(levels)), columns: len(levels) / len(line), line: line}
	for i, u := range levels {
		l.upper[i] = float32(u) / 127
	}
	return l
}
