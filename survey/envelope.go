package survey

import (
	"math"

	"ionoscribe/demod"
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
		w[i] = demod.Hann(i, cellTaps)
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
