package fax

// A chart is sent element by element, and the trellis works best when its steps are those elements and its
// levels the sender's. The spectrum leaves some hertz, phasing and line clock some tenths of a pixel; the
// evidence of the trellis, measured on a few rows, tells the rest. If the sender's picture has no elements,
// the evidence is flat and nothing moves.
const (
	alignGroups = 12 // places down the chart
	alignRows   = 4  // rows at each

	alignHz      = 8.0 // between trial tunings
	alignTunings = 9   // around the one that the spectrum tells

	alignStep   = 0.2 // steps between trial shifts
	alignShifts = 7   // around zero: beyond half a step the neighbouring element would be taken
	// alignSpread is the standard deviation of the shift that phasing and line clock leave, in steps.
	alignSpread = 0.3
	// alignGain is the least gain in evidence, in nats, for which the chart is moved: odds of 20 to 1 against
	// the best of some fifty distinct positions being best by chance.
	alignGain = 7
)

// align brings the levels, the origin and the period of a two-level chart nearer to the sender's.
func (d *Drawing) align(v *Video) {
	d.alignTuning(v)
	d.alignElements(v)
}

// alignTuning moves the middle between black and white to where the evidence is greatest.
func (d *Drawing) alignTuning(v *Video) {
	var evidence [alignTunings]float64
	best := 0
	trial := *d
	for k := range evidence {
		trial.OffsetHz = d.OffsetHz + float64(k-alignTunings/2)*alignHz
		for _, e := range trial.evidence(v, 1) {
			evidence[k] += e
		}
		if evidence[k] > evidence[best] {
			best = k
		}
	}
	if evidence[best] > evidence[alignTunings/2]+alignGain {
		d.OffsetHz += (float64(best-alignTunings/2) + peakOffset(evidence[:], best)) * alignHz
	}
}

// alignElements moves the origin and the period so that the steps are the sender's elements, or parts of them.
func (d *Drawing) alignElements(v *Video) {
	step := newGrid(d.Origin, d.Period, d.Columns).step()
	var evidence [alignShifts][alignGroups]float64
	trial := *d
	for k := range evidence {
		trial.Origin = d.Origin + float64(k-alignShifts/2)*alignStep*step
		evidence[k] = trial.evidence(v, alignRows)
	}
	// The best straight line through the groups: shifts a at the first row and b at the last.
	total := func(a, b float64) float64 {
		sum := -(a*a + b*b) / (2 * alignSpread * alignSpread)
		for j := range alignGroups {
			x := (a+(b-a)*float64(j)/(alignGroups-1))/alignStep + alignShifts/2
			i := min(max(int(x), 0), alignShifts-2)
			f := x - float64(i)
			sum += evidence[i][j]*(1-f) + evidence[i+1][j]*f
		}
		return sum
	}
	const reach, fine = alignStep * (alignShifts / 2), alignStep / 4
	best, first, last := total(0, 0)+alignGain, 0.0, 0.0
	for a := -reach; a <= reach+1e-9; a += fine {
		for b := -reach; b <= reach+1e-9; b += fine {
			if e := total(a, b); e > best {
				best, first, last = e, a, b
			}
		}
	}
	d.Origin += first * step
	d.Period += (last - first) * step / float64(max(d.Rows-1, 1))
}

// evidence is that of the trellis for the given number of rows in each of the groups.
func (d *Drawing) evidence(v *Video, rows int) (sums [alignGroups]float64) {
	s := d.source(v)
	t := newTrellis(s.grid.steps, s.advance())
	prior := make([]float32, s.grid.steps)
	for i := range prior {
		prior[i] = 0.5
	}
	for j := range sums {
		for i := range rows {
			row := int(float64(d.Rows-1) * (float64(j) + float64(i)/16) / (alignGroups - 1))
			s.load(min(row, d.Rows-1))
			if snrDB(s.signal, s.noise) > -6 {
				s.observe(t, min(row, d.Rows-1), 0)
				sums[j] += t.ahead(prior, firstChain)
			}
		}
	}
	return sums
}

func (d *Drawing) tuning() tuning { return tuning{d.OffsetHz, d.DeviationHz, d.Inverted} }
