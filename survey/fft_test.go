package survey

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

// The transforms agree with gonum's.
func TestFFT(t *testing.T) {
	for _, n := range []int{2, 4, 8, 64, 2048} {
		rng := rand.New(rand.NewPCG(1, uint64(n)))
		z, x := make([]complex64, n), make([]complex128, n)
		for i := range z {
			z[i] = complex(float32(rng.NormFloat64()), float32(rng.NormFloat64()))
			x[i] = complex128(z[i])
		}
		newFFT(n).transform(z)
		for k, w := range fourier.NewCmplxFFT(n).Coefficients(nil, x) {
			if d := cmplx.Abs(complex128(z[k]) - w); d > 2e-6*math.Sqrt(float64(n))*math.Log2(float64(n)) {
				t.Errorf("%d: bin %d is off by %g", n, k, d)
			}
		}
	}
	const n = 256
	rng := rand.New(rand.NewPCG(2, 2))
	x, z := make([]float64, n), make([]complex64, n/2)
	for i := range x {
		x[i] = float64(float32(rng.NormFloat64()))
	}
	for i := range z {
		z[i] = complex(float32(x[2*i]), float32(x[2*i+1]))
	}
	f := newRealFFT(n)
	f.transform(z)
	for k, w := range fourier.NewFFT(n).Coefficients(nil, x)[:n/2] {
		if p, want := float64(f.power(z, k)), real(w)*real(w)+imag(w)*imag(w); math.Abs(p-want) > 1e-4*(want+1) {
			t.Errorf("power of bin %d: %g, want %g", k, p, want)
		}
	}
}
