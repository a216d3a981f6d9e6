package cw

import (
	"math"

	"ionoscribe/demod/narrow"
)

// tones tells whether a signal's tone sounds together with others, or in turn with one. Then it is no Morse: one of a pair of
// which one sounds while the other does not is a teleprinter's; those that begin and end together are harmonics and chords
// of music.
type tones struct {
	spectrum *spectrum
	recent   *recent
	channel  channel // of the other tone

	own, other, ownSteps, otherSteps []float64 // amplitudes of cells, and how they change
}

// togetherness is how a signal's tone sounds with others.
type togetherness struct {
	chord     bool    // it begins and ends with another one
	pair      bool    // it sounds in turn with another one,
	hz, reach float64 // and this is the middle between them and how far they reach, in Hz
	cost      float64 // of listening to other tones, in steps of the bank
}

const (
	toneCell  = 10.0 // base samples, 20 ms: a dot at the fastest
	toneRise  = 3    // cells over which a change is measured: longer than an edge
	toneLags  = 25   // cells, half a second: dots of the slowest
	mostTones = 24   // tones that are compared; of music the octave may be one of the weakest

	chordNearest = 110.0 // Hz; nearer tones leak into each other
	chordPower   = 0.05  // of the weaker over the signal; harmonics of a receiver are weaker
	// The same for a signal that is printed: a clipped wave's third harmonic has 1/9, a half wave's second 0.18.
	chordClear = 0.2

	// Chords correlate by so much, which is so many standard deviations: two chances in 10⁸ a tone (own choice).
	chordLeast, chordSigmas = 0.3, 5.5
	// The same if the other tone is stronger by spurPower: the signal may be its image, and the noise lowers the correlation.
	spurPower             = 100.0
	spurLeast, spurSigmas = 0.15, 3.5
	// Tones are no chord if they correlate by this share of it when one is delayed: machines at the same speed do (own
	// choice).
	elsewhereShare = 0.75
	// harmonicOwn is above the correlation of harmonics in music, which share their pitches with other notes, and below that
	// of a harmonic by clipping (own choice).
	harmonicOwn = 0.9

	twinNearest, twinFurthest = 60.0, 1000.0 // Hz: shifts of teleprinters are 85 to 850 Hz
	twinSides                 = 120.0        // Hz on either side that their sidebands take
	twinPower                 = 0.15         // of the weaker over the stronger, at least; selective fading makes them unequal
	twinCorrelation           = -0.4         // that of a pair is nearly -1, less what noise takes

	sameTone = 4.0 // Hz between a tone and the pitch of a channel that hears it, at most
)

// look compares a signal with the other tones of the spectrum by what is remembered. The amplitudes of tones that have
// nothing to do with each other do not correlate; those of a pair correlate by nearly -1. Of a chord the changes of the
// amplitudes correlate; the amplitudes alone may do so for other signals, which begin at once or fade together. A signal
// that is printed must be in a clearer chord, and is not looked at for pairs.
func (c *tones) look(own *tuned, printed bool, others []*track) (found togetherness) {
	s, hz := c.spectrum, own.channel.hz
	power, least := s.Power(hz), chordPower
	if printed {
		least = chordClear
	}
	left := mostTones
	for _, p := range s.peaks {
		apart := math.Abs(p.Hz - hz)
		pair := !printed && apart >= twinNearest && apart <= twinFurthest && p.Ratio >= twinPower*s.Ratio(hz)
		chord := apart >= chordNearest && s.Power(p.Hz) >= least*power
		if !pair && !chord {
			continue
		}
		if left--; left < 0 {
			break
		}
		since := max(own.origin, c.recent.end-historyHops*hop)
		out, late := c.hear(p.Hz, since, others)
		if out == &c.channel.out {
			found.cost += float64((c.recent.end-since)/hop) * hopSteps
		}
		c.cells(&own.channel.out, out, float64(since-own.origin)/decimation, late)
		if pair && c.inTurn() {
			found.pair, found.hz, found.reach = true, (p.Hz+hz)/2, apart/2+twinSides
			break
		}
		least, sigmas := chordLeast, chordSigmas
		if s.Power(p.Hz) > spurPower*power {
			least, sigmas = spurLeast, spurSigmas
		}
		if chord && c.together(harmonic(p.Hz+centreHz, hz+centreHz), least, sigmas) {
			found.chord = true
			break
		}
	}
	return found
}

// inTurn says whether one tone sounds while the other does not.
func (c *tones) inTurn() bool {
	r := correlation(c.own, c.other, 0)
	return r < twinCorrelation && r < -chordSigmas*byChance(c.own, c.other)
}

// together says whether one tone begins and ends when the other does, not only in time with it, by the least correlation
// and of how many standard deviations; but a harmonic may be the signal's own.
func (c *tones) together(harmonic bool, least, sigmas float64) bool {
	x, y := c.ownSteps, c.otherSteps
	r := correlation(x, y, 0)
	if r < least || harmonic && r > harmonicOwn {
		return false
	}
	return !elsewhere(x, y, elsewhereShare*r) && r > sigmas*byChance(x, y)
}

// harmonic says whether a frequency is a multiple of another, as far as a spectrum tells.
func harmonic(hz, of float64) bool {
	k := math.Round(hz / of)
	return k >= 2 && math.Abs(hz-k*of) < narrow.LineHz
}

// hear listens to a tone since a sample of the band, and returns at which of its base samples that is.
func (c *tones) hear(hz float64, since int64, others []*track) (out *series, late float64) {
	for _, t := range others {
		if math.Abs(t.search.tuned.channel.hz-hz) < sameTone && t.search.tuned.origin <= since {
			return &t.search.tuned.channel.out, float64(since-t.search.tuned.origin) / decimation
		}
	}
	c.channel.reset(hz)
	c.channel.follows = false
	c.recent.replay(&c.channel, since)
	return &c.channel.out, 0
}

// cells measures the amplitudes of two signals at the same times, from a base sample of each on.
func (c *tones) cells(x, y *series, fromX, fromY float64) {
	c.own, c.other, c.ownSteps, c.otherSteps = c.own[:0], c.other[:0], c.ownSteps[:0], c.otherSteps[:0]
	skip := max(0, x.first()-fromX, y.first()-fromY)
	for at := skip; fromX+at+toneCell < float64(x.end) && fromY+at+toneCell < float64(y.end); at += toneCell {
		c.own = append(c.own, math.Sqrt(norm(x.at(fromX+at+toneCell)-x.at(fromX+at))))
		c.other = append(c.other, math.Sqrt(norm(y.at(fromY+at+toneCell)-y.at(fromY+at))))
		if n := len(c.own) - 1; n >= toneRise {
			c.ownSteps = append(c.ownSteps, c.own[n]-c.own[n-toneRise])
			c.otherSteps = append(c.otherSteps, c.other[n]-c.other[n-toneRise])
		}
	}
	for _, row := range [][]float64{c.own, c.other, c.ownSteps, c.otherSteps} {
		standardize(row)
	}
}

// standardize subtracts the mean and scales the sum of squares to 1, unless all values are equal.
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

// correlation is that of two standardized rows, the second delayed by so many cells.
func correlation(x, y []float64, late int) float64 {
	y = y[late:]
	x = x[:len(y)]
	var s0, s1, s2, s3 float64 // independent sums, which the processor adds at the same time
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
	for lag := 1; lag <= toneLags && lag < len(x); lag++ {
		sum += 2 * correlation(x, x, lag) * correlation(y, y, lag)
	}
	return math.Sqrt(max(sum, 1) / math.Max(1, float64(len(x))))
}

// elsewhere says whether two rows correlate by at least so much when either is delayed.
func elsewhere(x, y []float64, least float64) bool {
	for late := toneRise + 1; late <= toneLags && late < len(x); late++ {
		if correlation(x, y, late) >= least || correlation(y, x, late) >= least {
			return true
		}
	}
	return false
}
