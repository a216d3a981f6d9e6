package cw

import (
	"math"
	"math/bits"
)

// transform is the discrete Fourier transform of bins complex numbers, X[k] = Σ x[n]·exp(-2πjkn/bins), in place, by
// Cooley and Tukey's algorithm of radix 2. It is our own because of what BenchmarkTransform measures: 7 µs, where
// gonum's takes 33 µs and go-dsp's 28 µs with 19 allocations. Short numbers do for a spectrum.
func transform(x *[bins]complex64) {
	for i, j := range &reversed {
		if int(j) > i {
			x[i], x[j] = x[j], x[i]
		}
	}
	for i := 0; i < bins; i += 2 {
		a, b := x[i], x[i+1]
		x[i], x[i+1] = a+b, a-b
	}
	for half := 2; half < bins; half *= 2 {
		turn := bins / 2 / half
		for from := 0; from < bins; from += 2 * half {
			low, high := x[from:from+half], x[from+half:from+2*half]
			high = high[:len(low)]
			w := 0
			for k, a := range low {
				c, b := twiddle[w&(bins/2-1)], high[k]
				b = complex(real(b)*real(c)-imag(b)*imag(c), real(b)*imag(c)+imag(b)*real(c))
				low[k], high[k] = a+b, a-b
				w += turn
			}
		}
	}
}

var reversed, twiddle = func() (r [bins]uint16, w [bins / 2]complex64) {
	for i := range r {
		r[i] = bits.Reverse16(uint16(i)) >> (16 - bits.TrailingZeros(bins))
	}
	for i := range w {
		s, c := math.Sincos(-2 * math.Pi * float64(i) / bins)
		w[i] = complex(float32(c), float32(s))
	}
	return r, w
}()
