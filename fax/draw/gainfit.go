package draw

import (
	"math"

	"ionoscribe/demod"
)

// gainReach is the reach, in steps to each side, of the stretch from which the gains of a path or two are known: so long
// that they do not follow a neighbour, so short that the tuning does not turn the phase. A quarter of it, which follows
// what is within 100 Hz, loses 1 dB next to white, twice as much changes nothing (simulation, of a single path).
const gainReach = 64

// gainFit fits the gains of a course to what was received, stretch by stretch, by least squares.
type gainFit struct{ first, second, cross []complex64 }

// leastApart, of a stretch's power, is added to both paths' power: while the level does not change, the paths cannot be
// told from each other, and the gains are the smallest that explain their sum.
const leastApart = 1e-3

// gains sets the gains of c, whose phases are set, to those that explain y/scale.
func (f *gainFit) gains(c *course, y []complex64, scale float32) {
	n := len(c.first)
	if len(f.first) != n+1 {
		f.first, f.second, f.cross = make([]complex64, n+1), make([]complex64, n+1), make([]complex64, n+1)
	}
	var first, second, cross complex64
	for i, v := range y[:n] {
		a := c.unit(float64(i))
		first += v * conj(a)
		f.first[i+1] = first
		if c.second != nil {
			b := c.unit(float64(i) - c.delay)
			second += v * conj(b)
			cross += a * conj(b)
			f.second[i+1], f.cross[i+1] = second, cross
		}
	}
	for i := range n {
		from, to := max(i-gainReach, 0), min(i+gainReach+1, n)
		p, m := f.first[to]-f.first[from], float32(to-from)
		if c.second == nil {
			c.first[i] = p * complex(scale/m, 0)
			continue
		}
		// m·g1 + conj(x)·g2 = p, x·g1 + m·g2 = q
		q, x := f.second[to]-f.second[from], f.cross[to]-f.cross[from]
		m *= 1 + leastApart
		d := complex(scale/(m*m-demod.Power(x)), 0)
		c.first[i] = (complex(m, 0)*p - conj(x)*q) * d
		c.second[i] = (complex(m, 0)*q - x*p) * d
	}
}

func conj(c complex64) complex64 { return complex(real(c), -imag(c)) }

// course is what a line of two levels was found to be: the levels of its steps and lead more on both sides, the phase in
// the middle of each, and the gains of one path or two.
type course struct {
	theta         float64 // by how much white turns the phase forward in a step, radians
	lead          int
	before        bool // the level before the first step is white
	white         []bool
	phase         []float64
	first, second []complex64 // second is nil if there is one path
	delay         float64     // of the second path, steps
	zero          int64       // video index at which the tuning's phase is zero
}

// unit is the signal, without gain, at a place in steps after the middle of the first one.
func (c *course) unit(step float64) complex64 {
	i := min(max(int(math.Round(step)), 0), len(c.white)-1)
	return demod.Cis(c.phase[i] + (step-float64(i))*c.level(i))
}

// level is the turn of the phase in a step.
func (c *course) level(i int) float64 {
	if c.white[i] {
		return c.theta
	}
	return -c.theta
}

// at is what is received at a place in steps after the line's start.
func (c *course) at(place float64) complex64 {
	step := place - 0.5 + float64(c.lead)
	i := min(max(int(math.Round(step)), 0), len(c.white)-1)
	z := c.first[i] * c.unit(step)
	if c.second != nil {
		z += c.second[i] * c.unit(step-c.delay)
	}
	return z
}
