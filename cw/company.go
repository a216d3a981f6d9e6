package cw

import "math"

// A tone in company is no Morse: one of a pair of which one sounds while the other does not, such as a teleprinter's, or
// one that begins and ends together with others, such as the harmonics and chords of music.

// company says which tones sound when a signal does and when it does not.
type company struct {
	own, other, ownSteps, otherSteps []float64 // amplitudes of cells, and how they change
	channel                          channel
}

const (
	companyNearest = 110.0 // Hz; nearer ones leak into each other
	companyPower   = 0.05  // of the weaker over the signal; harmonics of a receiver are weaker
	companyClear   = 0.2   // the same once it has been printed: those of a clipped wave are weaker (third harmonic and product of two 1/9; second of a half wave 0.18)
	companyMost    = 24    // tones that are compared; of music the octave may be one of the weakest
	companySeconds = 4     // between looks
	companyLeast   = 0.3   // correlation,
	companySigmas  = 5.5   // and of how many standard deviations
	companyLate    = 0.75  // of it, if either is late: that of machines that keep the same time by chance is nearly as great then
	companyOwn     = 0.9   // correlation of a harmonic that a signal has of itself, as from clipping; those of music share their pitches with other notes
	companyLags    = 25    // cells
	companyRise    = 3     // cells over which a change is measured

	twinNearest, twinFurthest = 60.0, 1000.0 // Hz
	twinSides                 = 120.0        // Hz on either side that its sidebands take
	twinPower                 = 0.15
	twinCorrelation           = -0.4
	companyCell               = 10.0 // base samples, 20 ms
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
		b.company.cells(&t.channel.out, out, float64(since-t.origin)/decimation, late)
		if r, sigma, _ := correlation(b.company.own, b.company.other); pair && r < min(twinCorrelation, -companySigmas*sigma) {
			b.rejectAround((p.hz+t.channel.hz)/2, apart/2+twinSides)
			return true
		}
		own := harmonic(p.hz+centreHz, t.channel.hz+centreHz)
		r, sigma, late := correlation(b.company.ownSteps, b.company.otherSteps)
		if chord && r > max(companyLeast, companySigmas*sigma) && late < companyLate*r && !(own && r > companyOwn) {
			return true
		}
	}
	return false
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
	c := &b.company.channel
	c.reset(hz)
	c.follows = false
	for at := since; at < b.end; at += hop {
		i := at & (historyLength - 1)
		c.add(b.history[i : i+hop])
	}
	return &c.out, 0
}

// cells measures the amplitudes of two signals at the same times, from a base sample of each on.
func (c *company) cells(x, y *series, fromX, fromY float64) {
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
}

// correlation is that of two rows; the standard deviation that it would have if they had nothing to do with each other,
// whose square is Σ ρx(k)ρy(k)/n over all lags k (M. S. Bartlett, J. R. Statist. Soc. 98, 1935, from memory); and the
// greatest correlation if either is late.
func correlation(x, y []float64) (r, sigma, late float64) {
	n := float64(len(x))
	mx, my := mean(x), mean(y)
	lagged := func(x, y []float64, mx, my float64, lag int) (sum float64) {
		for i := lag; i < len(x); i++ {
			sum += (x[i] - mx) * (y[i-lag] - my)
		}
		return sum
	}
	vx, vy := lagged(x, x, mx, mx, 0), lagged(y, y, my, my, 0)
	if !(vx > 0 && vy > 0) {
		return 0, 1, 0
	}
	sum := 1.0
	for lag := 1; lag <= companyLags && lag < len(x); lag++ {
		sum += 2 * lagged(x, x, mx, mx, lag) * lagged(y, y, my, my, lag) / (vx * vy)
		if lag > companyRise {
			late = max(late, lagged(x, y, mx, my, lag), lagged(y, x, my, mx, lag))
		}
	}
	v := math.Sqrt(vx * vy)
	return lagged(x, y, mx, my, 0) / v, math.Sqrt(max(sum, 1) / n), late / v
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / math.Max(1, float64(len(x)))
}
