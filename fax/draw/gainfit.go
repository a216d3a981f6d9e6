package draw

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
		d := complex(scale/(m*m-square(x)), 0)
		c.first[i] = (complex(m, 0)*p - conj(x)*q) * d
		c.second[i] = (complex(m, 0)*q - x*p) * d
	}
}

func conj(c complex64) complex64 { return complex(real(c), -imag(c)) }
