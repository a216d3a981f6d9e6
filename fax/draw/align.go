package draw

import "math"

// Once a picture is known to have two levels, the trellis itself tells more closely how it lies in the video than
// the discriminator could: on some rows, which are quick to try.
const (
	alignGroups = 12 // places down the chart that are tried
	alignRows   = 4  // rows at each

	alignHz      = 8.0 // between trial tunings
	alignTunings = 9   // around the one that the spectrum tells

	alignStep   = 0.2 // steps between trial shifts
	alignShifts = 7   // around zero: beyond half a step the neighbouring element would be taken

	// alignGain is the least gain in evidence, in nats, for which something is moved: odds of a hundred to one
	// against the best of ten trials being best by chance.
	alignGain = 7
)

// align brings the levels and the lines of a two-level chart nearer to the sender's. phased says that the line
// start is known from phasing, next to the first row.
func (d *Drawing) align(v *Video, phased bool, known *clock) {
	d.alignTuning(v)
	d.alignSlant(v, d.pivot(phased), known)
	if !phased {
		d.alignElements(v)
	}
}

// pivot is the row in which the line start is known.
func (d *Drawing) pivot(phased bool) int {
	if phased {
		return 0
	}
	return d.Rows / 2 // it is known from the picture
}

// alignTuning moves the middle between black and white to where the evidence is greatest.
func (d *Drawing) alignTuning(v *Video) {
	trial := *d
	d.OffsetHz += bestTrial(alignTunings, func(k float64) float64 {
		trial.OffsetHz = d.OffsetHz + k*alignHz
		return trial.evidence(v, 1)
	}) * alignHz
}

// alignSlant measures the slant again, as stack.slant does, but on what the trellis makes of some of the rows: at
// 0 dB SNR its frames and margins are far sharper than those of a discriminator.
func (d *Drawing) alignSlant(v *Video, pivot int, known *clock) {
	const sums, rows = 72, 4
	l := newLevels(v, newGrid(d.Origin, d.Period, d.Columns), d.OffsetHz, d.DeviationHz)
	l.chain = firstChain
	st := &stack{columns: l.source.grid.steps, every: max(d.Rows/sums, 1)}
	for row := 0; row+rows <= d.Rows; row += st.every {
		sum := make([]complex64, st.columns)
		for i, c := range l.fold(row, rows) {
			sum[i] = complex(0, float32(c))
		}
		st.sums = append(st.sums, sum)
	}
	pixel := 1 / float64(d.Rows*d.Columns) // over the whole chart, in lines a line
	at := 0.0
	if known.deviation > pixel/2 {
		at = st.sharpest(2 * pixel)
	}
	e := st.slant(known.phasing, at)
	if e.deviation = math.Hypot(e.deviation, known.doubt); e.deviation < known.deviation {
		d.Origin -= float64(pivot) * d.Period * e.slant
		d.Period *= 1 + e.slant
		known.phasing.slant -= e.slant
		known.deviation = e.deviation
	}
}

// alignElements moves the origin so that the trellis's steps are the elements in which the chart was sent, or parts
// of them. If it has none, the evidence is flat and nothing moves.
func (d *Drawing) alignElements(v *Video) {
	step := newGrid(d.Origin, d.Period, d.Columns).step()
	trial := *d
	d.Origin += bestTrial(alignShifts, func(k float64) float64 {
		trial.Origin = d.Origin + k*alignStep*step
		return trial.evidence(v, alignRows)
	}) * alignStep * step
}

// bestTrial is the number, from -n/2 to n/2 and between whole ones by a parabola, at which f is greatest; 0 unless it
// gains alignGain.
func bestTrial(n int, f func(k float64) float64) float64 {
	values := make([]float64, n)
	best := 0
	for k := range values {
		values[k] = f(float64(k - n/2))
		if values[k] > values[best] {
			best = k
		}
	}
	if values[best] < values[n/2]+alignGain {
		return 0
	}
	return float64(best-n/2) + peakOffset(values, best)
}

// evidence sums the trellis's evidence over a number of rows in each group.
func (d *Drawing) evidence(v *Video, rows int) (sum float64) {
	s := d.source(v)
	t := newTrellis(s.grid.steps, s.advance())
	prior := make([]float32, s.grid.steps)
	for i := range prior {
		prior[i] = 0.5
	}
	for j := range alignGroups {
		for i := range rows {
			row := min(int(float64(d.Rows-1)*(float64(j)+float64(i)/16)/(alignGroups-1)), d.Rows-1)
			s.load(row)
			if snrDB(s.signal, s.noise) > -6 {
				s.observe(t, row, 0)
				sum += t.ahead(prior, firstChain)
			}
		}
	}
	return sum
}
