package survey

import (
	"math"

	"ionoscribe/internal/mode"
)

// Envelopes are the powers of a line, a value each 5 ms. The filter is a Hann window of 24 running means of 1.25 ms: it is
// 3 dB down at 24 Hz and 30 dB beyond 70 Hz.
const (
	cellSeconds = mode.CellSeconds
	cellParts   = 4
	cellTaps    = 24
)

var cellWindow = func() (w [cellTaps]float64) {
	for i := range w {
		w[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/cellTaps)
	}
	return w
}()

// envelope appends that of a frequency from sample from to to.
func (c *cutter) envelope(dst []float32, hz float64, from, to int64) []float32 {
	c.work += (envelopeWork + envelopeRaw*c.rate) * float64(to-from) / c.rate
	length := int(math.Round(c.rate * cellSeconds / cellParts))
	n := int(to-from) / length
	step := -2 * math.Pi * hz / c.rate
	turns := c.turns[:0] // within a part
	for j := range length {
		sin, cos := math.Sincos(step * float64(j))
		turns = append(turns, complex(cos, sin))
	}
	c.turns = turns
	sin, cos := math.Sincos(step * float64(length))
	turn := complex(cos, sin) // from part to part
	var w complex128
	r := c.ring
	i := from % r.size
	var last [cellTaps]complex128
	for k := range n {
		if k%cellTaps == 0 { // lest errors add up
			sin, cos := math.Sincos(math.Mod(step*float64(k*length), 2*math.Pi))
			w = complex(cos, sin)
		}
		var sum complex128
		if r.iq != nil {
			for _, t := range turns {
				sum += complex128(r.iq[i]) * t
				if i++; i == r.size {
					i = 0
				}
			}
		} else {
			part := r.real[i:min(i+int64(length), r.size)]
			re, im := correlate(part, turns)
			if n := len(part); n < length { // the ring ends within the part
				a, b := correlate(r.real[:length-n], turns[n:])
				re, im, i = re+a, im+b, i-r.size
			}
			i += int64(length)
			sum = complex(re, im)
		}
		last[k%cellTaps] = sum * w
		w *= turn
		if k%cellParts == cellParts-1 && k >= cellTaps-1 {
			var re, im float64
			for j, g := range cellWindow {
				v := last[(k+1+j)%cellTaps]
				re += real(v) * g
				im += imag(v) * g
			}
			dst = append(dst, float32(re*re+im*im))
		}
	}
	return dst
}

// correlate is the sum of products of samples and turns.
func correlate(x []float32, turns []complex128) (re, im float64) {
	for j, v := range x {
		re += float64(v) * real(turns[j])
		im += float64(v) * imag(turns[j])
	}
	return re, im
}

// keying is what the envelope of a line tells.
type keying struct {
	off   float64 // share of the time in which it is off
	turns float64 // from off to on, a second
	marks int     // whole ones
}

const (
	levelCells = 150  // 0.75 s on either side whose greatest power is that of "on": a fade is slower
	offPower   = 0.12 // share of it below which it is off
	onPower    = 0.35
)

// keyed measures the keying of an envelope.
func (s *Survey) keyed(e []float32) (k keying) {
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
	on, since := false, 0
	marks, gaps := s.marks[:0], s.gaps[:0]
	for g := range groups {
		level := float32(0)
		for _, v := range groups[max(0, g-reach):min(n, g+reach+1)] {
			level = max(level, v)
		}
		for i, v := range e[g*coarse : (g+1)*coarse] {
			at := g*coarse + i
			switch {
			case v < offPower*level:
				k.off++
				if on {
					marks = append(marks, float64(at-since))
					on, since = false, at
				}
			case v > onPower*level && !on:
				k.turns++
				gaps = append(gaps, float64(at-since))
				on, since = true, at
			}
		}
	}
	s.marks, s.gaps = marks, gaps
	k.off /= float64(n * coarse)
	k.turns /= float64(n*coarse) * cellSeconds
	if len(marks) > 2 && len(gaps) > 2 {
		k.marks = len(marks) - 1
	}
	return k
}

// leastKeyed is the variance of an amplitude over its mean square from which on it may be keyed: a steady tone 30 dB above the
// noise in its filter has half as much, and what is left of pure tones is rounding.
const leastKeyed = 1e-3

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
		weight += c
		if vx, vy := sxx-sx*sx/c, syy-sy*sy/c; vx > leastKeyed*sxx && vy > leastKeyed*syy {
			sum += c * (sxy - sx*sy/c) / math.Sqrt(vx*vy)
		}
	}
	if weight == 0 {
		return 0
	}
	return sum / weight
}

// inTurn says that of two lines one sounds while the other does not, as far as either does: with pauses between, as mode A has them,
// their amplitudes hardly correlate.
func inTurn(x, y []float32) bool {
	const mostOn, leastCells = 0.75, 100
	n := min(len(x), len(y))
	top := 0.0
	for i := range n {
		top = max(top, math.Sqrt(float64(x[i]))+math.Sqrt(float64(y[i])))
	}
	var c, sx, sy, sxx, syy, sxy float64
	for i := range n {
		a, b := math.Sqrt(float64(x[i])), math.Sqrt(float64(y[i]))
		if a+b < top/2 {
			continue
		}
		c++
		sx, sy, sxx, syy, sxy = sx+a, sy+b, sxx+a*a, syy+b*b, sxy+a*b
	}
	if c < leastCells || c > mostOn*float64(n) {
		return false
	}
	vx, vy := sxx-sx*sx/c, syy-sy*sy/c
	return vx > leastKeyed*sxx && vy > leastKeyed*syy && sxy-sx*sy/c < leastTurn*math.Sqrt(vx*vy)
}

// leastTurn is the correlation of tones that sound in turn; lines that are keyed by themselves, half of the time each, have -0.5.
const leastTurn = -0.75
