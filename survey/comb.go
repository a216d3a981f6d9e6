package survey

import "math"

const (
	// combLines on each side of the centre, and the centre, have nearly all the power of a control tone.
	combLines   = 2
	leastLines  = 3     // of them that must be heard
	combHz      = 550.0 // around the centre that the strongest line is looked for in, which must be one of them:
	combNear    = 1e-6  // of a line, where the formula divides 0 by 0
	combClearly = 1.5   // another one is stronger if it is so by that factor
)

// combCentre is the centre of a control tone of which a line is one, 0 if there is none, and how much power is as its lines should be.
func (s *seekers) combCentre(c *seeker, hz, tone float64) (best, power float64) {
	most, found, strongest := 0.0, 0, 0.0
	for k := -combLines; k <= combLines; k++ {
		at := hz + float64(k)*tone
		if !s.mayBe(c, at) {
			continue
		}
		// The amplitudes of the lines of a square wave of frequency (by its Fourier series), between both levels.
		b := c.area().DeviationHz / tone
		sum, norm, lines, top := 0.0, 0.0, 0, 0.0
		for n := -combLines; n <= combLines; n++ {
			v := s.lines.density(at + float64(n)*tone)
			a := combAmplitude(b, max(n, -n))
			sum += a * math.Sqrt(v)
			norm += a * a
			top = max(top, v)
			if v > 0 {
				lines++
			}
		}
		if sum > most {
			best, most, power, found, strongest = at, sum, sum*sum/norm, lines, top
		}
	}
	if found < leastLines {
		return 0, 0
	}
	comb := controlTone{hz: best, tone: tone}
	for _, l := range s.lines.list {
		if math.Abs(l.hz-best) < combHz && l.density > combClearly*strongest && !comb.near(l.hz, toneNearHz) {
			return 0, 0
		}
	}
	return best, power
}

// combAmplitude is that of line k of a carrier whose frequency is a square wave, at a modulation index of b: its phase is
// a triangle, so that it is 2b·sin((b-k)·π/2)/(π·(b²-k²)) for even and odd k alike.
func combAmplitude(b float64, k int) float64 {
	x := b - float64(k)
	if math.Abs(x) < combNear {
		return 0.5 // its limit
	}
	return math.Abs(2 * b * math.Sin(x*math.Pi/2) / (math.Pi * x * (b + float64(k))))
}

// dots is the latest dot pattern of a selective call, some of whose lines are where a control tone has its own.
type dots struct {
	hz   float64 // 0: there was none
	last int64   // frame in which it was seen last
}

const (
	// dotsHz is how far apart the lines of a dot pattern of 100 Bd are (half the rate, as it alternates).
	dotsHz        = 50.0
	dotsReachHz   = 700.0 // within which its lines are
	callSeconds   = 9.0   // of a call after it, some 50 symbols of ten elements, and of what stays of its lines in the mean spectrum
	leastDots     = 2     // of the four lines beside,
	leastDotShare = 0.2   // with that share of the strongest one's density
)

// heard says that there is a dot pattern where a control tone is supposed, or was so lately that its lines are still in the mean
// spectrum and the call behind it goes on.
func (d *dots) heard(ls *lines, hz, tone float64) bool {
	now := ls.frames.count
	if dotted(ls, hz, tone) {
		d.hz, d.last = hz, now
		return true
	}
	return d.hz != 0 && math.Abs(hz-d.hz) < dotsReachHz && ls.frames.seconds(now-d.last) < callSeconds
}

// dotted says that beside the strongest line that a control tone would have there are others as of a dot pattern.
func dotted(ls *lines, hz, tone float64) bool {
	strongest, most := 0.0, 0.0
	for k := -combLines; k <= combLines; k++ {
		at := hz + float64(k)*tone
		if v := ls.density(at); v > most {
			strongest, most = at, v
		}
	}
	n := 0
	for _, k := range [...]float64{-2, -1, 1, 2} {
		if ls.density(strongest+k*dotsHz) > leastDotShare*most {
			n++
		}
	}
	return n >= leastDots
}
