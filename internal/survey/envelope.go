package survey

import "math"

// Envelopes are the powers of a line, a value each 5 ms. The filter is a running mean of that length, thrice in a row with
// weights 1, 2, 1: it is 3 dB down at 36 Hz.
const (
	cellSeconds = 0.005
	cellHz      = 1 / cellSeconds
)

// envelope appends that of a frequency from sample from to to.
func (c *cutter) envelope(dst []float32, hz float64, from, to int64) []float32 {
	length := int(math.Round(c.rate * cellSeconds))
	n := int(to-from) / length
	step := -2 * math.Pi * hz / c.rate
	sin, cos := math.Sincos(step)
	turn := complex(cos, sin)
	r := c.ring
	i := from % r.size
	var b, d complex128 // the last cells
	for k := range n {
		s, q := math.Sincos(math.Mod(step*float64(k*length), 2*math.Pi))
		w := complex(q, s)
		var sum complex128
		if r.iq != nil {
			for range length {
				sum += complex128(r.iq[i]) * w
				w *= turn
				if i++; i == r.size {
					i = 0
				}
			}
		} else {
			for range length {
				x := float64(r.real[i])
				sum += complex(x*real(w), x*imag(w))
				w *= turn
				if i++; i == r.size {
					i = 0
				}
			}
		}
		v := d + 2*b + sum
		b, d = sum, b
		if k >= 2 {
			dst = append(dst, float32(real(v)*real(v)+imag(v)*imag(v)))
		}
	}
	return dst
}

// keying is what the envelope of a line tells.
type keying struct {
	off   float64 // share of the time in which it is off
	turns float64 // from off to on, a second
}

const (
	levelCells = 150  // 0.75 s on either side whose greatest power is that of "on": a fade is slower
	offPower   = 0.12 // share of it below which it is off
	onPower    = 0.35
)

// keyed measures the keying of an envelope.
func keyed(e []float32) (k keying) {
	const coarse = 10
	n := len(e) / coarse
	if n < 4 {
		return k
	}
	// Greatest powers of groups of cells, then of the groups around.
	groups := make([]float32, n)
	for i := range groups {
		for _, v := range e[i*coarse : (i+1)*coarse] {
			groups[i] = max(groups[i], v)
		}
	}
	const reach = levelCells / coarse
	on := false
	for g := range groups {
		level := float32(0)
		for _, v := range groups[max(0, g-reach):min(n, g+reach+1)] {
			level = max(level, v)
		}
		for _, v := range e[g*coarse : (g+1)*coarse] {
			switch {
			case v < offPower*level:
				k.off++
				on = false
			case v > onPower*level && !on:
				k.turns++
				on = true
			}
		}
	}
	k.off /= float64(n * coarse)
	k.turns /= float64(n*coarse) * cellSeconds
	return k
}

// correlation is that of the amplitudes of two lines: near -1 if one sounds while the other does not, as with
// frequency-shift keying, and near 0 for signals that have nothing to do with each other. Slow fading is taken out by
// halves of the sum of the neighbouring 2 s.
func correlation(x, y []float32) float64 {
	const most = 400 // cells, 2 s
	n := min(len(x), len(y))
	sum, weight := 0.0, 0.0
	for at := 0; at < n; at += most {
		m := min(most, n-at)
		if m < most/2 && at > 0 {
			break
		}
		var sx, sy, sxx, syy, sxy float64
		for i := at; i < at+m; i++ {
			a, b := math.Sqrt(float64(x[i])), math.Sqrt(float64(y[i]))
			sx, sy, sxx, syy, sxy = sx+a, sy+b, sxx+a*a, syy+b*b, sxy+a*b
		}
		c := float64(m)
		v := (sxx - sx*sx/c) * (syy - sy*sy/c)
		if v <= 0 {
			continue
		}
		sum += float64(m) * (sxy - sx*sy/c) / math.Sqrt(v)
		weight += float64(m)
	}
	if weight == 0 {
		return 0
	}
	return sum / weight
}
