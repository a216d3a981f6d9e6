package demod

import (
	"math"
	"math/bits"
)

// FFT transforms complex samples of single precision, whose number is a power of two: in place, by Cooley and Tukey's algorithm of
// radix 2 (Mathematics of Computation 19, 1965, p. 297). BenchmarkFFT measures why it is our own: it takes a third of the time of
// gonum's and of go-dsp's, which are exact to double precision and take any number of samples. A spectrum to look at needs neither.
type FFT struct {
	turns []complex64 // exp(-2πjk/n), k < n/2
	swaps [][2]int32  // of the reversal of bits
}

// NewFFT makes one for n samples, a power of two and at least 2.
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

// Transform replaces z[n] by Σ z[n]·exp(-2πjkn/N).
func (f *FFT) Transform(z []complex64) {
	for _, s := range f.swaps {
		z[s[0]], z[s[1]] = z[s[1]], z[s[0]]
	}
	half := 1
	if len(z)%4 != 0 { // two samples
		z[0], z[1] = z[0]+z[1], z[0]-z[1]
		half = 2
	} else { // two stages at once, whose factors are 1 and -j
		for i := 0; i+3 < len(z); i += 4 {
			a, b, c, d := z[i]+z[i+1], z[i]-z[i+1], z[i+2]+z[i+3], z[i+2]-z[i+3]
			d = complex(imag(d), -real(d))
			z[i], z[i+1], z[i+2], z[i+3] = a+c, b+d, a-c, b-d
		}
		half = 4
	}
	for ; half < len(z); half *= 2 {
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

// RealFFT transforms real samples: as half as many complex ones, z[i] = x[2i] + j·x[2i+1], whose spectrum Power takes apart.
type RealFFT struct {
	*FFT
	turns []complex64 // exp(-2πjk/n), k < n/2
}

// NewRealFFT makes one for n samples, a power of two and at least 4.
func NewRealFFT(n int) *RealFFT {
	return &RealFFT{NewFFT(n / 2), NewFFT(n).turns}
}

// Power is |X[k]|² of real samples, given what Transform made of them.
func (f *RealFFT) Power(z []complex64, k int) float32 {
	n := len(z)
	a, b := z[k%n], z[(n-k)%n]
	b = complex(real(b), -imag(b))
	even, odd := (a+b)/2, (a-b)/2
	odd = complex(imag(odd), -real(odd)) // -j
	w := f.turns[k%n]
	v := complex(real(even)+real(w)*real(odd)-imag(w)*imag(odd), imag(even)+real(w)*imag(odd)+imag(w)*real(odd))
	return real(v)*real(v) + imag(v)*imag(v)
}
