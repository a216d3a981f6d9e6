package survey

import (
	"math"
	"math/bits"
)

// fft transforms complex samples of single precision, whose number is a power of two: in place, by Cooley and Tukey's
// algorithm of radix 2 (Mathematics of Computation 19, 1965, p. 297). It takes a fraction of the time of gonum's, which is more general and exact to double precision; the frames need neither.
type fft struct {
	turns []complex64 // exp(-2πjk/n), k < n/2
	swaps [][2]int32  // of the reversal of bits
}

func newFFT(n int) *fft {
	f := &fft{turns: make([]complex64, n/2)}
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

// transform replaces z[n] by Σ z[n]·exp(-2πjkn/N).
func (f *fft) transform(z []complex64) {
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

// realFFT transforms real samples: half as many complex ones, of those with even and odd numbers, and what takes them
// apart.
type realFFT struct {
	*fft
	turns []complex64 // exp(-2πjk/n), k < n/2
}

func newRealFFT(n int) *realFFT {
	return &realFFT{newFFT(n / 2), newFFT(n).turns}
}

// power is |X[k]|² of the transform of x that was packed into z: z[i] = x[2i] + j·x[2i+1], transformed.
func (f *realFFT) power(z []complex64, k int) float32 {
	n := len(z)
	a, b := z[k%n], z[(n-k)%n]
	b = complex(real(b), -imag(b))
	even, odd := (a+b)/2, (a-b)/2
	odd = complex(imag(odd), -real(odd)) // -j
	w := f.turns[k%n]
	v := complex(real(even)+real(w)*real(odd)-imag(w)*imag(odd), imag(even)+real(w)*imag(odd)+imag(w)*real(odd))
	return real(v)*real(v) + imag(v)*imag(v)
}
