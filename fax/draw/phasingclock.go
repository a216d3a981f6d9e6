package draw

import (
	"math"
	"math/cmplx"
	"slices"

	"ionoscribe/demod"
)

// Where the frequency changes from one level to the other, the phase is on the straight lines of both: an edge lies
// where these meet. Phase is known to 1/√(2·N·SNR) from N samples, and the levels are 800 Hz apart, so that a pulse of
// 25 ms places itself to 13 µs at 3 dB SNR, 0.045 pixels at 120 lines a minute. It does so for every line of phasing;
// the straight line through all of them is the clock. A carrier that drifts moves both edges of a pulse alike in
// opposite directions, so their mean stays.

const (
	// edgeReach is how much of a line is used on each side of an edge, edgeGuard what is left out because filters
	// have it ring, 1.8 pixels.
	edgeReach = 0.1
	edgeGuard = 0.001
	// leastEdge is the least deviation, in pixels, that is believed of the place of a line of phasing.
	leastEdge = 0.003
	// mostWander, in radians, is how much phases may differ from where the lines are expected: beyond that some are
	// counted a turn too early or too late.
	mostWander = 1.0
)

// stretches are the parts of a phasing line that have one level, around one edge, as shares of the line: [lo] of the
// lower frequency, [hi] of the higher one.
type stretches struct {
	edge   float64
	lo, hi [2]float64
}

// around are the stretches around both edges of p, whose line start is that of the grid.
func (p phasing) around(whiteUp bool) [2]stretches {
	a, b, up := -PulseShare/2, PulseShare/2, p.white // from a to b it is up
	if p.half {
		a, b, up = 0, 0.5, !whiteUp
	}
	in := min(b-a-edgeGuard, edgeReach)
	var s [2]stretches
	s[0] = stretches{a, [2]float64{a - edgeReach, a - edgeGuard}, [2]float64{a + edgeGuard, a + in}}
	s[1] = stretches{b, [2]float64{b + edgeGuard, b + edgeReach}, [2]float64{b - in, b - edgeGuard}}
	if !up {
		for i := range s {
			s[i].lo, s[i].hi = s[i].hi, s[i].lo
		}
	}
	return s
}

// clock measures how the lines of g drift against those of p, whose line start is that of the grid.
func (p phasing) clock(v *Video, g grid, whiteUp bool, offset, deviation float64) estimate {
	around := p.around(whiteUp)
	z := make([]complex64, int(0.8*g.period)+8)
	// each calls f for every line and edge with the samples of both stretches, and the index of their first ones from
	// the edge.
	each := func(f func(row, edge int, lo, hi []complex64, fromLo, fromHi float64)) {
		for row := range p.rows {
			start := g.start(p.first + row)
			at := int64(math.Floor(start - 0.15*g.period))
			v.Read(z, at)
			cut := func(s [2]float64, edge float64) ([]complex64, float64) {
				from := int(math.Ceil(start + s[0]*g.period - float64(at)))
				to := int(math.Floor(start + s[1]*g.period - float64(at)))
				return z[from:to], float64(at) + float64(from) - start - edge*g.period
			}
			for i, s := range around {
				lo, fromLo := cut(s.lo, s.edge)
				hi, fromHi := cut(s.hi, s.edge)
				f(row, i, lo, hi, fromLo, fromHi)
			}
		}
	}
	// The frequencies, in radians a sample: near where they are expected, from the turn over lag samples.
	const lag = 12
	var low, high complex64
	each(func(_, _ int, lo, hi []complex64, _, _ float64) {
		low += turnOver(lo, lag)
		high += turnOver(hi, lag)
	})
	const hz = 2 * math.Pi / VideoRate
	near := func(sum complex64, expected float64) float64 {
		return expected + float64(demod.Phase(sum*complex64(cmplx.Rect(1, -lag*expected))))/lag
	}
	omegaLo, omegaHi := near(low, (offset-deviation)*hz), near(high, (offset+deviation)*hz)

	// In lines: how late a line is, and what as much would do to the amplitudes of the levels. Noise and fading do both
	// alike, because they know no direction in the complex plane.
	late, likeness, weight := make([]float64, p.rows), make([]float64, p.rows), make([]float64, p.rows)
	scale := 0.5 / (omegaHi - omegaLo) / g.period
	each(func(row, edge int, lo, hi []complex64, fromLo, fromHi float64) {
		a, b := spin(lo, fromLo, omegaLo), spin(hi, fromHi, omegaHi)
		late[row] += cmplx.Phase(a*cmplx.Conj(b)) * scale
		likeness[row] += math.Log((cmplx.Abs(a)+1e-30)/(cmplx.Abs(b)+1e-30)) * scale
		power := min(real(a)*real(a)+imag(a)*imag(a), real(b)*real(b)+imag(b)*imag(b))
		if edge == 0 || power < weight[row] {
			weight[row] = power
		}
	})
	wander := 0.0
	for _, v := range late {
		wander += v * v / float64(p.rows) / (scale * scale)
	}
	if wander = math.Sqrt(wander); wander > mostWander {
		return estimate{0, wander * scale * math.Sqrt(12) / float64(p.rows)} // as if all of it were a slope
	}
	return steady(late, likeness, weight, leastEdge/float64(g.columns))
}

// turnOver is the sum of the turns over lag samples.
func turnOver(z []complex64, lag int) (sum complex64) {
	for i := lag; i < len(z); i++ {
		p := z[i-lag]
		sum += z[i] * complex(real(p), -imag(p))
	}
	return sum
}

// spin sums z, of which the first sample is at from, as if it stood still at index 0.
func spin(z []complex64, from, omega float64) (sum complex128) {
	for i, c := range z {
		sum += complex128(c) * cmplx.Rect(1, -omega*(from+float64(i)))
	}
	return sum
}

// steady is the slope of y by weighted least squares, without what is far off. Errors that wander slowly, as under
// fading, pass for a slope, but they do as much to likeness, which has no slope of its own, and to the curvature of
// both: what these have more than the scatter explains, the slope may have too.
func steady(y, likeness, weight []float64, least float64) estimate {
	w := slices.Clone(weight)
	var e estimate
	for range 3 {
		modes := newModes(w)
		if modes == nil {
			return estimate{0, math.Inf(1)}
		}
		level, slope := modes.of(y, 0), modes.of(y, 1)
		var scatter, count float64
		rest := make([]float64, len(y))
		size := make([]float64, 0, len(y))
		for i, v := range y {
			rest[i] = v - level*modes.shape[0][i] - slope*modes.shape[1][i]
			scatter += w[i] * rest[i] * rest[i]
			if w[i] > 0 {
				count++
				size = append(size, math.Abs(rest[i]))
			}
		}
		scatter = scatter/max(count-2, 1) + least*least*modes.weight/float64(len(y))
		slow := 0.0
		for _, c := range [...]float64{modes.of(likeness, 1), modes.of(likeness, 2), modes.of(y, 2)} {
			slow += c * c / 3
		}
		perLine := (modes.shape[1][len(y)-1] - modes.shape[1][0]) / float64(len(y)-1)
		e.slant = slope * perLine
		e.deviation = math.Sqrt(scatter+2*max(slow-scatter, 0)) * perLine
		slices.Sort(size)
		usual := size[len(size)/2]/0.6745 + least // standard deviation by the median
		for i := range w {
			if math.Abs(rest[i]) > 4*usual {
				w[i] = 0
			}
		}
	}
	return e
}

// modes are the constant, the slope and the curvature over the lines, orthonormal under the lines' weights: errors of
// variance 1/weight have variance 1 in each.
type modes struct {
	shape  [3][]float64
	weight float64 // sum of the weights
	each   []float64
}

// newModes returns nil if there are too few lines of any weight.
func newModes(weight []float64) *modes {
	m := &modes{each: weight}
	for _, w := range weight {
		m.weight += w
	}
	for j := range m.shape {
		m.shape[j] = make([]float64, len(weight))
		for i := range weight {
			m.shape[j][i] = math.Pow(2*float64(i)/float64(len(weight))-1, float64(j))
		}
		for _, lower := range m.shape[:j] {
			c := m.along(m.shape[j], lower)
			for i, v := range lower {
				m.shape[j][i] -= c * v
			}
		}
		norm := m.along(m.shape[j], m.shape[j])
		if norm < 1e-9*m.weight || norm == 0 {
			return nil
		}
		for i := range m.shape[j] {
			m.shape[j][i] /= math.Sqrt(norm)
		}
	}
	return m
}

// of is how much of y is in the mode.
func (m *modes) of(y []float64, mode int) float64 { return m.along(y, m.shape[mode]) }

func (m *modes) along(a, b []float64) (sum float64) {
	for i, w := range m.each {
		sum += w * a[i] * b[i]
	}
	return sum
}
