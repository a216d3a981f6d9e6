package demod

// FIR is a streaming real filter: y[n] = Σ h[k]·x[n-k], input before the first sample being zero.
type FIR struct{ fir[float32] }

// ComplexFIR is a FIR with real taps for complex samples: it treats both sides of 0 Hz alike.
type ComplexFIR struct{ fir[complex64] }

// NewFIR makes a filter of the impulse response h, which is copied. It panics if h is empty.
func NewFIR(h []float64) *FIR { return &FIR{newFIR(h, dotReal)} }

// NewComplexFIR makes a filter of the impulse response h, which is copied. It panics if h is empty.
func NewComplexFIR(h []float64) *ComplexFIR { return &ComplexFIR{newFIR(h, dotComplex)} }

type fir[T float32 | complex64] struct {
	h    []float32 // reversed, so that an output is a dot product over samples in their order
	buf  []T       // the past, contiguous, then the new samples
	fill int       // samples in buf
	dot  func(h []float32, x []T) T
}

func newFIR[T float32 | complex64](h []float64, dot func([]float32, []T) T) fir[T] {
	if len(h) == 0 {
		panic("demod: filter without taps")
	}
	f := fir[T]{h: make([]float32, len(h)), buf: make([]T, 2*len(h)+512), dot: dot}
	for i, v := range h {
		f.h[len(h)-1-i] = float32(v)
	}
	f.Reset()
	return f
}

// Filter sets dst[i] to the output for the input src[i], whatever the lengths of the blocks; dst may be src.
// It panics if the lengths differ.
func (f *fir[T]) Filter(dst, src []T) {
	if len(dst) != len(src) {
		panic("demod: FIR: lengths differ")
	}
	past := len(f.h) - 1
	for len(src) > 0 {
		if f.fill == len(f.buf) {
			f.fill = copy(f.buf, f.buf[f.fill-past:])
		}
		n := copy(f.buf[f.fill:], src)
		w := f.buf[f.fill-past:][:past+n]
		for i := range n {
			dst[i] = f.dot(f.h, w[i:])
		}
		f.fill += n
		dst, src = dst[n:], src[n:]
	}
}

// Reset forgets all input.
func (f *fir[T]) Reset() {
	f.fill = len(f.h) - 1
	clear(f.buf[:f.fill])
}

// dotReal is Σ h[k]·x[k]; x may be longer.
func dotReal(h, x []float32) float32 {
	var s0, s1 float32
	for len(h) >= 4 && len(x) >= 4 {
		s0 += h[0]*x[0] + h[2]*x[2]
		s1 += h[1]*x[1] + h[3]*x[3]
		h, x = h[4:], x[4:]
	}
	x = x[:len(h)]
	for k, c := range h {
		s0 += c * x[k]
	}
	return s0 + s1
}

// dotComplex is Σ h[k]·x[k]; x may be longer.
func dotComplex(h []float32, x []complex64) complex64 {
	var r0, i0, r1, i1 float32
	for len(h) >= 4 && len(x) >= 4 {
		r0 += h[0]*real(x[0]) + h[2]*real(x[2])
		i0 += h[0]*imag(x[0]) + h[2]*imag(x[2])
		r1 += h[1]*real(x[1]) + h[3]*real(x[3])
		i1 += h[1]*imag(x[1]) + h[3]*imag(x[3])
		h, x = h[4:], x[4:]
	}
	x = x[:len(h)]
	for k, c := range h {
		r0 += c * real(x[k])
		i0 += c * imag(x[k])
	}
	return complex(r0+r1, i0+i1)
}
