package draw

import "math"

// A picture leans for two reasons: the line clock is off, or what is drawn leans. Strokes of italics lean by 10 to 15
// degrees, 100 times what is asked of the clock, and even upright letters drift by some tenths of a degree. What is
// drawn is short, though: rows that lie farther apart than a letter is high agree only where something stands
// vertically or comes back in the same column — a frame, a rule, the edge of a margin, the left edge of line after
// line of text. So each row is compared with the far ones alone.

const (
	// farLines is more than the height of letters: 40 pixels, headings 60.
	farLines = 80
	// letterLines is the height within which rows resemble each other because they cut the same letters.
	letterLines = 32
	// edgeOdds, in nats, is how improbable it is beforehand that something vertical stands in a column: frame, margins
	// and rule are some 4 of 1810 columns.
	edgeOdds = 6
)

// estimate is one of a slant, with its standard deviation, both in lines a line.
type estimate struct{ slant, deviation float64 }

// with is the mean of two independent estimates, each weighed by its variance.
func (e estimate) with(o estimate) estimate {
	switch {
	case math.IsInf(o.deviation, 1):
		return e
	case math.IsInf(e.deviation, 1):
		return o
	}
	a, b := o.deviation*o.deviation, e.deviation*e.deviation // weights of e and o
	return estimate{(e.slant*a + o.slant*b) / (a + b), math.Sqrt(a * b / (a + b))}
}

// likelihood is that of e if what it estimates is distributed as o, but for a factor that e alone makes.
func (e estimate) likelihood(o estimate) float64 {
	if math.IsInf(e.deviation, 1) {
		return 1
	}
	spread := math.Hypot(e.deviation, o.deviation)
	z := (e.slant - o.slant) / spread
	return math.Exp(-z*z/2) / spread
}

// clock is what is known of how the lines of a chart lie.
type clock struct {
	phasing   estimate // of the slant that is left in the lines, from phasing alone
	deviation float64  // of the slant of the lines, from all that was heard
	doubt     float64  // the part of it that no closer look at the lines takes away: phasing may be another's
}

// slant is that of the stack, searched for near at, together with what was known of it.
func (s *stack) slant(known estimate, at float64) estimate {
	rows := s.brightness()
	now := estimate{slant: at}
	for range 4 {
		now = known.with(s.agreement(rows, now.slant))
	}
	return now
}

// agreement measures the slant near at from the rows' agreement with far ones.
func (s *stack) agreement(rows [][]float32, at float64) estimate {
	if len(rows) < 4 {
		return estimate{at, math.Inf(1)}
	}
	n := s.columns
	f := &farRows{every: s.every, columns: n, values: make([][]float32, len(rows)), weight: make([]float64, len(rows))}
	weight := s.weights()
	work := make([]float32, 0, n+3)
	for r, row := range rows {
		f.values[r] = make([]float32, n)
		addShifted(f.values[r], row, at*float64(r*s.every*n), work)
	}
	copy(f.weight, weight)
	shift := func() float64 {
		pull, stiffness := f.pull()
		if stiffness <= 0 {
			return math.Inf(1)
		}
		return pull / stiffness
	}
	all := shift()
	// The standard deviation by the jackknife (Efron and Stein, Annals of Statistics 9, 1981): part after part of the
	// rows is left out. Parts are higher than letters, so they are independent.
	parts := min(max(len(rows)*s.every/letterLines, 4), 16)
	var sum, squares float64
	for p := range parts {
		from, to := p*len(rows)/parts, (p+1)*len(rows)/parts
		clear(f.weight[from:to])
		d := shift() - all
		sum += d
		squares += d * d
		copy(f.weight[from:to], weight[from:to])
	}
	k := float64(parts)
	variance := (k - 1) / k * (squares - sum*sum/k) * (k - 1) / (k - 3) // the last factor: that of Student's distribution
	if math.IsNaN(variance) || math.IsInf(variance, 0) {
		return estimate{at, math.Inf(1)}
	}
	return estimate{at + all/float64(n), math.Sqrt(variance) / float64(n)}
}

// farRows are aligned rows, each of which is to be compared with those that are far from it.
type farRows struct {
	every, columns int
	values         [][]float32
	weight         []float64   // 0: left out
	sums           [][]float32 // work space of pull
}

// pull is the derivative of the squared misfit of all rows by the slant, and stiffness its second one, in columns a
// line. A column counts by its slope over its variance, and by the probability that it has an edge at all.
func (f *farRows) pull() (pull, stiffness float64) {
	n, rows := f.columns, len(f.values)
	// Sums of the rows before each: of values, of their squares, of their derivatives' squares, side by side.
	if f.sums == nil {
		f.sums = make([][]float32, rows+1)
		for r := range f.sums {
			f.sums[r] = make([]float32, 3*n)
		}
	}
	count, middle := make([]float64, rows+1), make([]float64, rows+1)
	for r, row := range f.values {
		copy(f.sums[r+1], f.sums[r])
		count[r+1], middle[r+1] = count[r], middle[r]
		if f.weight[r] == 0 {
			continue
		}
		w := float32(f.weight[r])
		count[r+1] += f.weight[r]
		middle[r+1] += f.weight[r] * float64(r)
		sum := f.sums[r+1]
		for i, v := range row {
			d := (row[wrap(i+1, n)] - row[wrap(i-1, n)]) / 2
			sum[i] += w * v
			sum[n+i] += w * v * v
			sum[2*n+i] += w * d * d
		}
	}
	far := min((farLines+f.every-1)/f.every, max(rows/4, 1))
	mean, variance, sharp := make([]float32, n), make([]float32, n), make([]float32, n)
	for r, row := range f.values {
		if f.weight[r] == 0 {
			continue
		}
		low, high := max(r-far+1, 0), min(r+far, rows)
		number := count[rows] - (count[high] - count[low])
		if number < 1 {
			continue
		}
		lever := float64(f.every) * (float64(r) - (middle[rows]-(middle[high]-middle[low]))/number)
		k := float32(1 / number)
		all, a, b := f.sums[rows], f.sums[low], f.sums[high]
		var floor float32
		for i := range mean {
			mean[i] = (all[i] - (b[i] - a[i])) * k
			variance[i] = max((all[n+i]-(b[n+i]-a[n+i]))*k-mean[i]*mean[i], 0)
			sharp[i] = (all[2*n+i] - (b[2*n+i] - a[2*n+i])) * k
			floor += variance[i] / float32(n)
		}
		floor = floor/100 + 1e-20
		independent := float32(number * min(float64(f.every)/letterLines, 1))
		var misfit, slope float64
		for i, v := range row {
			d := (mean[wrap(i+1, n)] - mean[wrap(i-1, n)]) / 2
			z := independent * d * d / (max(sharp[i]-d*d, 0) + floor/2)
			if z < edgeOdds {
				continue
			}
			edge := 1.0
			if z < 50 {
				edge = 1 / (1 + math.Exp(edgeOdds-float64(z)/2))
			}
			w := edge * float64(d/(variance[i]+floor))
			misfit -= w * float64(v-mean[i])
			slope += w * float64(row[wrap(i+1, n)]-row[wrap(i-1, n)]) / 2
		}
		pull += f.weight[r] * lever * misfit
		stiffness += f.weight[r] * lever * lever * slope
	}
	return pull, stiffness
}

// wrap brings i, from -1 to n, onto the circle of n.
func wrap(i, n int) int {
	switch {
	case i < 0:
		return i + n
	case i >= n:
		return i - n
	}
	return i
}
