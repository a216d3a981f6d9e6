package demod

import (
	"math"
	"math/bits"
)

// FFT is a discrete Fourier transform of complex samples of single precision, whose number is a power of two. It takes a
// fraction of the time of gonum's, which is more general and exact to double precision; a spectrum needs neither.
type FFT struct {
	turns []complex64 // exp(-2πjk/n), k < n/2
	swaps [][2]int32  // of the reversal of bits
}

// NewFFT makes a transform of n samples; n is a power of two, at least 2.
func NewFFT(n int) *FFT {
	f := &FFT{turns: make([]complex64, n/2)}
	for k := range f.turns {
		s, c := math.Sincos(-2 * math.Pi * float64(k) / float64(n))
		f.turns[k] = complex64(complex(c, s))
	}
	shift := 64 - bits.Len(uint(n)-1)
	for i := range n {
		if k := int(bits.Reverse64(uint64(i)) >> shift); k > i {
			f.swaps = append(f.swaps, [2]int32{int32(i), int32(k)})
		}
	}
	return f
}

// Transform replaces z[k] by Σ z[n]·exp(-2πjkn/N), N being the number of samples, in place: Cooley and Tukey's algorithm
// of radix 2 (Mathematics of Computation 19, 1965, p. 297).
func (f *FFT) Transform(z []complex64) {
	for _, s := range f.swaps {
		z[s[0]], z[s[1]] = z[s[1]], z[s[0]]
	}
	for i := 0; i+1 < len(z); i += 2 {
		z[i], z[i+1] = z[i]+z[i+1], z[i]-z[i+1]
	}
	for half := 2; half < len(z); half *= 2 {
		step := len(f.turns) / half
		for at := 0; at < len(z); at += 2 * half {
			a := z[at : at+half]
			b := z[at+half : at+2*half]
			b = b[:len(a)]
			t := 0
			for i, v := range a {
				w, x := f.turns[t], b[i]
				re := real(w)*real(x) - imag(w)*imag(x)
				im := real(w)*imag(x) + imag(w)*real(x)
				a[i] = complex(real(v)+re, imag(v)+im)
				b[i] = complex(real(v)-re, imag(v)-im)
				t += step
			}
		}
	}
}
