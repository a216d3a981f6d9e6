package survey

import "math"

// keying is what the envelope of a line tells. Lengths are in cells; the first of either may be parts.
type keying struct {
	off         float64 // share of the time in which it is off
	turns       float64 // from off to on, a second
	marks, gaps []float64
	groups      []float32 // work space
}

const (
	groupCells  = 10   // a group has, 50 ms: as a mark of Morse of 24 words a minute
	leastGroups = 4    // 0.2 s
	levelCells  = 150  // 0.75 s on either side whose greatest power is that of "on": a fade is slower
	offPower    = 0.12 // share of it below which it is off, -9 dB,
	onPower     = 0.35 // and above which it is on, -4.5 dB: between, noise would turn it on and off
)

// measure measures the keying of an envelope.
func (k *keying) measure(e []float32) {
	k.off, k.turns, k.marks, k.gaps = 0, 0, k.marks[:0], k.gaps[:0]
	n := len(e) / groupCells
	if n < leastGroups {
		return
	}
	// Greatest powers of groups of cells, then of the groups around.
	k.groups = k.groups[:0]
	for i := range n {
		top := float32(0)
		for _, v := range e[i*groupCells : (i+1)*groupCells] {
			top = max(top, v)
		}
		k.groups = append(k.groups, top)
	}
	const reach = levelCells / groupCells
	on, since := false, 0
	for g := range n {
		level := float32(0)
		for _, v := range k.groups[max(0, g-reach):min(n, g+reach+1)] {
			level = max(level, v)
		}
		for i, v := range e[g*groupCells : (g+1)*groupCells] {
			at := g*groupCells + i
			switch {
			case v < offPower*level:
				k.off++
				if on {
					k.marks = append(k.marks, float64(at-since))
					on, since = false, at
				}
			case v > onPower*level && !on:
				k.turns++
				k.gaps = append(k.gaps, float64(at-since))
				on, since = true, at
			}
		}
	}
	k.off /= float64(n * groupCells)
	k.turns /= float64(n*groupCells) * cellSeconds
}

// lengths are whole marks and gaps; false: there are not enough of both.
func (k *keying) lengths() (marks, gaps []float64, ok bool) {
	const least = 3
	if len(k.marks) < least || len(k.gaps) < least {
		return nil, nil, false
	}
	return k.marks[1:], k.gaps[1:], true
}

const (
	// leastKeyed is the variance of an amplitude over its mean square from which on it may be keyed: a steady tone 30 dB above the
	// noise in its filter has half as much, and what is left of pure tones is rounding.
	leastKeyed = 1e-3
	fadeCells  = 400 // 2 s, in which fading on the short waves is slow
)

// amplitudes sums those of two lines, their squares and products.
type amplitudes struct{ n, x, y, xx, yy, xy float64 }

func (s *amplitudes) add(x, y float32) {
	a, b := math.Sqrt(float64(x)), math.Sqrt(float64(y))
	s.n++
	s.x, s.y, s.xx, s.yy, s.xy = s.x+a, s.y+b, s.xx+a*a, s.yy+b*b, s.xy+a*b
}

// correlation is that of what was added; false: one of both is not keyed.
func (s *amplitudes) correlation() (c float64, keyed bool) {
	vx, vy := s.xx-s.x*s.x/s.n, s.yy-s.y*s.y/s.n
	if vx <= leastKeyed*s.xx || vy <= leastKeyed*s.yy {
		return 0, false
	}
	return (s.xy - s.x*s.y/s.n) / math.Sqrt(vx*vy), true
}

// correlation is that of the amplitudes of two lines, envelopes: near -1 if one sounds while the other does not, as with
// frequency-shift keying, and near 0 for signals that have nothing to do with each other. Slow fading is taken out by taking the
// mean of the correlations in stretches of fadeCells.
func correlation(x, y []float32) float64 {
	n := min(len(x), len(y))
	sum, weight := 0.0, 0.0
	for at := 0; at < n; at += fadeCells {
		m := min(fadeCells, n-at)
		if m < fadeCells/2 && at > 0 {
			break
		}
		var s amplitudes
		for i := at; i < at+m; i++ {
			s.add(x[i], y[i])
		}
		weight += s.n
		if c, keyed := s.correlation(); keyed {
			sum += s.n * c
		}
	}
	if weight == 0 {
		return 0
	}
	return sum / weight
}

const (
	// leastTurn is the correlation of tones that sound in turn; lines that are keyed by themselves, half of the time each, have -0.5.
	leastTurn = -0.75
	// Tones that sound in turn with pauses between are on for at most mostOn of the time, and for at least leastCells, 0.5 s: mode A
	// sends 210 ms of 450 ms (ITU-R M.476).
	mostOn, leastCells = 0.75, 100
)

// inTurn says that of two lines one sounds while the other does not, as far as either does: with pauses between, as mode A has them,
// their amplitudes hardly correlate.
func inTurn(x, y []float32) bool {
	n := min(len(x), len(y))
	top := 0.0
	for i := range n {
		top = max(top, math.Sqrt(float64(x[i]))+math.Sqrt(float64(y[i])))
	}
	var s amplitudes
	for i := range n {
		if math.Sqrt(float64(x[i]))+math.Sqrt(float64(y[i])) >= top/2 {
			s.add(x[i], y[i])
		}
	}
	if s.n < leastCells || s.n > mostOn*float64(n) {
		return false
	}
	c, keyed := s.correlation()
	return keyed && c < leastTurn
}
