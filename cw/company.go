package cw

import "math"

// A tone in company is no Morse: one of a pair of which one sounds while the other does not, such as a teleprinter's, or
// one that begins and ends together with others, such as the harmonics and chords of music.

// correlatedTones compares when a signal sounds with when another tone does.
type correlatedTones struct {
	own, other, ownSteps, otherSteps []float64 // amplitudes of cells, and how they change
	channel                          channel
}

const (
	companyNearest = 110.0 // Hz; nearer ones leak into each other
	companyPower   = 0.05  // of the weaker over the signal; harmonics of a receiver are weaker
	companyClear   = 0.2   // the same of a signal that is printed; a clipped wave's third harmonic has 1/9, a half wave's second 0.18
	companyMost    = 24    // tones that are compared; of music the octave may be one of the weakest
	companySeconds = 4     // between looks,
	companyKnown   = 24    // and from so many seconds on,
	companySeldom  = 12    // so many: 16 s are remembered

	companyCell   = 10.0 // base samples, 20 ms
	companyRise   = 3    // cells over which a change is measured
	companyLags   = 25   // cells
	companyLeast  = 0.3  // correlation,
	companySigmas = 5.5  // and of how many standard deviations;
	// of a tone so much weaker that it may be an image of the other, in whose noise correlation is lost
	spurPower  = 100.0
	spurLeast  = 0.15
	spurSigmas = 3.5
	// companyElsewhere of it, if either is late, is too much: machines that keep the same time come near it.
	companyElsewhere = 0.75
	// companyOwn is the correlation of a harmonic by clipping; those of music share their pitches with other notes.
	companyOwn = 0.9

	twinNearest, twinFurthest = 60.0, 1000.0 // Hz
	twinSides                 = 120.0        // Hz on either side that its sidebands take
	twinPower                 = 0.15
	twinCorrelation           = -0.4
)

// inCompany says whether other tones sound with a signal or against it, by what is remembered. The amplitudes of tones
// that have nothing to do with each other do not correlate; those of a pair do, by nearly -1. How the amplitudes of a
// chord change does: the change, as all signals may begin at once, and fade together.
func (b *band) inCompany(t *track) bool {
	s := b.spectrum
	power, least := s.absolute(t.channel.hz), companyPower
	if t.passed {
		least = companyClear
	}
	left := companyMost
	for _, p := range s.peaks {
		apart := math.Abs(p.hz - t.channel.hz)
		pair := !t.passed && apart >= twinNearest && apart <= twinFurthest && p.power >= twinPower*s.at(t.channel.hz)
		chord := apart >= companyNearest && s.absolute(p.hz) >= least*power
		if !pair && !chord {
			continue
		}
		if left--; left < 0 {
			return false
		}
		since := max(t.origin, b.end-historyHops*hop)
		out, late := b.hear(p.hz, since)
		if !t.locked && out == &b.correlated.channel.out {
			b.spend(t, float64((b.end-since)/hop)*hopSteps)
		}
		b.correlated.cells(&t.channel.out, out, float64(since-t.origin)/decimation, late)
		if pair && b.correlated.excludes() {
			b.rejectAround((p.hz+t.channel.hz)/2, apart/2+twinSides)
			return true
		}
		least, sigmas := companyLeast, companySigmas
		if s.absolute(p.hz) > spurPower*power {
			least, sigmas = spurLeast, spurSigmas
		}
		if chord && b.correlated.together(harmonic(p.hz+centreHz, t.channel.hz+centreHz), least, sigmas) {
			return true
		}
	}
	return false
}

// excludes says whether one tone sounds while the other does not.
func (c *correlatedTones) excludes() bool {
	r := correlation(c.own, c.other, 0)
	return r < twinCorrelation && r < -companySigmas*byChance(c.own, c.other)
}

// together says whether one tone begins and ends when the other does, not only in time with it, by the least correlation
// and of how many standard deviations; but a harmonic may be the signal's own.
func (c *correlatedTones) together(harmonic bool, least, sigmas float64) bool {
	x, y := c.ownSteps, c.otherSteps
	r := correlation(x, y, 0)
	if r < least || harmonic && r > companyOwn {
		return false
	}
	return !elsewhere(x, y, companyElsewhere*r) && r > sigmas*byChance(x, y)
}

// harmonic says whether a frequency is a multiple of another, as far as a spectrum tells.
func harmonic(hz, of float64) bool {
	k := math.Round(hz / of)
	return k >= 2 && math.Abs(hz-k*of) < binHz
}

// hear is a tone since a sample of the band, and at which of its base samples that is.
func (b *band) hear(hz float64, since int64) (out *series, late float64) {
	for _, t := range b.tracks {
		if math.Abs(t.channel.hz-hz) < 4 && t.origin <= since {
			return &t.channel.out, float64(since-t.origin) / decimation
		}
	}
	c := &b.correlated.channel
	c.reset(hz)
	c.follows = false
	for at := since; at < b.end; at += hop {
		i := at & (historyLength - 1)
		c.add(b.history[i : i+hop])
	}
	return &c.out, 0
}

// cells measures the amplitudes of two signals at the same times, from a base sample of each on.
func (c *correlatedTones) cells(x, y *series, fromX, fromY float64) {
	c.own, c.other, c.ownSteps, c.otherSteps = c.own[:0], c.other[:0], c.ownSteps[:0], c.otherSteps[:0]
	skip := max(0, x.first()-fromX, y.first()-fromY)
	for at := skip; fromX+at+companyCell < float64(x.end) && fromY+at+companyCell < float64(y.end); at += companyCell {
		c.own = append(c.own, math.Sqrt(norm(x.at(fromX+at+companyCell)-x.at(fromX+at))))
		c.other = append(c.other, math.Sqrt(norm(y.at(fromY+at+companyCell)-y.at(fromY+at))))
		if n := len(c.own) - 1; n >= companyRise {
			c.ownSteps = append(c.ownSteps, c.own[n]-c.own[n-companyRise])
			c.otherSteps = append(c.otherSteps, c.other[n]-c.other[n-companyRise])
		}
	}
	for _, row := range [][]float64{c.own, c.other, c.ownSteps, c.otherSteps} {
		standardize(row)
	}
}

// standardize takes the mean away, and makes the sum of the squares 1 unless all are equal.
func standardize(x []float64) {
	sum, squares := 0.0, 0.0
	for _, v := range x {
		sum += v
	}
	mean := sum / math.Max(1, float64(len(x)))
	for i := range x {
		x[i] -= mean
		squares += x[i] * x[i]
	}
	if squares > 0 {
		scale := 1 / math.Sqrt(squares)
		for i := range x {
			x[i] *= scale
		}
	}
}

// correlation is that of two standardized rows if the second is late by so many cells.
func correlation(x, y []float64, late int) float64 {
	y = y[late:]
	x = x[:len(y)]
	var s0, s1, s2, s3 float64 // sums that do not wait for each other
	for len(x) >= 4 && len(y) >= 4 {
		s0 += x[0] * y[0]
		s1 += x[1] * y[1]
		s2 += x[2] * y[2]
		s3 += x[3] * y[3]
		x, y = x[4:], y[4:]
	}
	y = y[:len(x)]
	for i, v := range x {
		s0 += v * y[i]
	}
	return s0 + s1 + s2 + s3
}

// byChance is the standard deviation of the correlation of two rows that have nothing to do with each other: its square
// is Σ ρx(k)ρy(k)/n over all lags k (M. S. Bartlett, J. R. Statist. Soc. 98, 1935, from memory).
func byChance(x, y []float64) float64 {
	sum := 1.0
	for lag := 1; lag <= companyLags && lag < len(x); lag++ {
		sum += 2 * correlation(x, x, lag) * correlation(y, y, lag)
	}
	return math.Sqrt(max(sum, 1) / math.Max(1, float64(len(x))))
}

// elsewhere says whether the correlation of two rows is at least so great if either is late.
func elsewhere(x, y []float64, least float64) bool {
	for late := companyRise + 1; late <= companyLags && late < len(x); late++ {
		if correlation(x, y, late) >= least || correlation(y, x, late) >= least {
			return true
		}
	}
	return false
}
