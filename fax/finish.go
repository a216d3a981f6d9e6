package fax

import (
	"math"
)

// span is the part of the video that holds a chart, and what was known of it while listening.
type span struct {
	from, to int64
	ioc      int
	lpm      float64
	began    Began
	ended    Ended
}

// Bounds on what a chart must have.
const (
	leastRows = 8 // shorter charts are not delivered
	// slantStrength is how many times sharper the right slant must be than any that is not its neighbour.
	slantStrength = 1.15
	// phasedSlant bounds the search around the drift of the phasing pulse, which is known to some 10 ppm.
	phasedSlant = 40e-6
	// phasingSeconds bounds where phasing is looked for: 30 s of it (ISO 9876:2015 3.8), twice over, and the
	// start tone.
	phasingSeconds = 75
)

// finish measures the chart in the span and draws it; nil if there are too few lines.
func finish(v *Video, sp span, c Config) *Chart {
	nominal := 60 / sp.lpm * VideoRate
	rows := int(math.Ceil(float64(sp.to-sp.from) / nominal))
	if rows < leastRows {
		return nil
	}
	ch := &Chart{
		Video: v, SampleRate: c.SampleRate, IOC: sp.ioc, LPM: sp.lpm, Began: sp.began, Ended: sp.ended,
		Drawing: Drawing{Columns: Columns(sp.ioc), DeviationHz: c.DeviationHz, White: 1, Plain: c.Plain},
	}
	ch.OffsetHz = c.CentreHz - CentreHz
	if c.CentreHz == 0 {
		ch.OffsetHz = findOffset(meanSpectrum(v, sp.from, sp.to, 512), c.DeviationHz)
	}
	sk := newSketch(v, float64(sp.from), nominal, rows)
	coarse := grid{origin: float64(sp.from), period: nominal, columns: sketchCells}
	phase, phased := findPhasing(v, coarse, min(int(phasingSeconds*VideoRate/nominal), rows), ch.OffsetHz, c.DeviationHz)
	if phased && ch.Began == BeganJoined {
		ch.Began = BeganPhasing
	}

	// Line clock.
	around, limit := 0.0, maxClockPPM*1e-6
	if phased {
		around, limit = phase.drift, phasedSlant
	}
	slant, strength := sk.slant(around, limit)
	g := newGrid(float64(sp.from), nominal, ch.Columns)
	if phased || strength > slantStrength {
		ch.SlantMeasured = true
		g.period *= 1 + slant
	}
	st := newStack(v, g, rows)
	if ch.SlantMeasured {
		fine := st.slant(1.5 / (sketchCells * float64(min(rows, sketchRows)))) // of the sketch's step
		g.period *= 1 + fine
	}
	ch.ClockPPM = (g.period/nominal - 1) * 1e6
	ch.Period = g.period

	// Line start and polarity.
	upper := true // white is the higher frequency
	first := 0    // row at which the picture begins, the line start given
	if phased {
		ch.PhaseMeasured = true
		middle := float64(sp.from) + (float64(phase.first)+float64(phase.rows)/2+phase.start)*nominal
		near := g
		near.origin = middle - float64(phase.first+phase.rows/2)*g.period
		level := 0.0
		if upper, level = deadSector(v, near, phase.first+phase.rows+8, rows-2, ch.OffsetHz, c.DeviationHz); c.Sideband != Either || math.Abs(level) < 0.3 {
			upper = c.Sideband != Lower
		}
		near.origin += phase.atStart().lineStart(v, near, ch.OffsetHz, c.DeviationHz, upper) * g.period
		g.origin = near.origin
		first = pictureStart(v, g, phase, upper)
	} else {
		middle, level := st.seam(ch.OffsetHz, c.DeviationHz)
		upper = level > 0
		if c.Sideband != Either {
			upper = c.Sideband != Lower
		}
		g.origin += middle * g.period
		if middle > 0.02 { // a line is under way at the first sample
			g.origin -= g.period
		}
	}
	ch.Inverted = !upper
	g.origin += c.LineStart * g.period
	ch.Origin = g.start(first)
	ch.Rows = int(math.Round((float64(sp.to) - ch.Origin) / g.period))
	if ch.Rows < leastRows {
		return nil
	}
	ch.draw()
	return ch
}

// atStart is p for a grid whose lines begin in the middle of the pulse.
func (p phasing) atStart() phasing {
	p.start = 0
	return p
}

// draw draws the chart and sets what follows from the rows.
func (ch *Chart) draw() {
	s := newLineSource(ch.Video, newGrid(ch.Origin, ch.Period, ch.Columns), tuning{ch.OffsetHz, ch.DeviationHz, ch.Inverted})
	ch.TwoLevel = !hasGreys(s, ch.Rows)
	m, levels := drawRows(s, ch.Drawing, ch.TwoLevel && !ch.Plain)
	ch.Image = m
	var signal, noise float64
	for _, l := range levels {
		ch.Quality = append(ch.Quality, l.quality())
		signal += float64(l.signal)
		noise += float64(l.noise)
	}
	ch.SNR = snrDB(float32(signal), float32(noise))
	ch.TuningHz = ch.OffsetHz
	samples := ch.SampleRate / VideoRate
	ch.Start = int64(math.Round(ch.Origin * samples))
	ch.End = int64(math.Round((ch.Origin + float64(ch.Rows)*ch.Period) * samples))
}

// deadSector measures the brightness around the line start of g in rows first to last, which is white (WMO-No.
// 386, from memory), in units of the deviation.
func deadSector(v *Video, g grid, first, last int, offset, deviation float64) (upper bool, level float64) {
	if last-first < leastRows {
		return true, 0
	}
	rows := min(last-first, 200)
	f := profile(v, g, first+(last-first-rows)/2, rows, offset, deviation)
	w := g.columns * 3 / 200 // 1.5 % to each side
	for i := range w {
		level += f[i] + f[len(f)-1-i]
	}
	level /= float64(2 * w)
	return level > 0, level
}

// pictureStart is the first row of g that is no phasing line any more.
func pictureStart(v *Video, g grid, p phasing, upper bool) int {
	const before, after = 16, 24
	expected := p.first + p.rows
	first := max(expected-before, p.first)
	sk := newSketch(v, g.start(first), g.period, before+after)
	score := make([]float64, sk.rows)
	for r := range score {
		row := sk.row(r)
		if p.half { // first half black, second half white
			for i, c := range row {
				if (i >= len(row)/2) == upper {
					score[r] += float64(c)
				} else {
					score[r] -= float64(c)
				}
			}
			score[r] /= float64(len(row))
			continue
		}
		w := len(row) / 50 // 2 % to each side
		in, all := 0.0, 0.0
		for i, c := range row {
			all += float64(c)
			if i < w || i >= len(row)-w {
				in += float64(c)
			}
		}
		score[r] = in/float64(2*w) - (all-in)/float64(len(row)-2*w)
		if !p.white {
			score[r] = -score[r]
		}
	}
	// The change is where the rows before it have the pulse's contrast and those behind it lack it.
	contrast := 0.0
	for _, c := range score[:before/2] {
		contrast += c / (before / 2)
	}
	best, at, sum := math.Inf(-1), 0, 0.0
	for r := 0; r <= len(score); r++ {
		if sum > best {
			best, at = sum, r
		}
		if r < len(score) {
			sum += score[r] - contrast/2
		}
	}
	return first + at
}
